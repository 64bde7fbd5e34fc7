package fit

import (
	"context"
	"errors"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// stuck is how long a fit may take before it counts as hanging: many times what
// the slowest takes on a busy machine.
const stuck = 20 * time.Second

// marksFrom makes marks of bytes, three each: places anywhere on the board
// where the first byte is odd, else places round an oval that the bytes dent.
func marksFrom(b []byte) (edge, face []Mark) {
	if len(b) == 0 {
		return nil, nil
	}
	anywhere := b[0]&1 == 1
	n := min(len(b)/3, 60)
	for i := range n {
		x, y, z := float64(b[3*i]), float64(b[3*i+1]), float64(b[3*i+2])
		p := r3.Vec{X: 5 * x, Y: 5 * y, Z: z}
		if !anywhere {
			s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
			p = r3.Vec{X: (500 + x - 128) * c, Y: (300 + y - 128) * s, Z: 100 - z/4}
		}
		m := Mark{P: p, SXY: 0.5, SZ: 0.5, Sure: b[3*i+2] == 7, Break: b[3*i+2] == 9}
		switch {
		case b[3*i+2] == 255:
			m.P.Z = math.NaN()
		case b[3*i+2]%5 == 4:
			m.P.X, m.P.Y = m.P.X/2, m.P.Y/2
			face = append(face, m)
			continue
		}
		edge = append(edge, m)
	}
	return edge, face
}

// seeds are ovals, dented and not, and marks anywhere.
func seeds(f *testing.F) {
	even := make([]byte, 150)
	for i := range even {
		even[i] = 128
	}
	f.Add(even)
	dent := append([]byte(nil), even...)
	for i := 30; i < 45; i++ {
		dent[i] = 60
	}
	f.Add(dent)
	anywhere := make([]byte, 90)
	for i := range anywhere {
		anywhere[i] = byte(i*37 + 1)
	}
	f.Add(anywhere)
	f.Add([]byte("AbcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789"))
}

// answered fails where an error says that a fit was stopped or has no words for
// the person.
func answered(t *testing.T, err error) {
	t.Helper()
	require.False(t, errors.Is(err, context.DeadlineExceeded), "the fit hangs")
	require.NotEmpty(t, err.Error())
}

// Whatever is read, both halves or one, the symmetric fit answers with a model
// or an error, never a NaN, and never hangs.
func FuzzFitSymmetric(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		ctx, stop := context.WithTimeout(context.Background(), stuck)
		defer stop()
		edge, face := marksFrom(b)
		in := SymmetricInput{Edge: edge, Face: face, Lopsided: true}
		if n := len(edge); n > 8 && len(b) > 3 {
			switch b[1] % 4 {
			case 1:
				in.Widths = []Width{{Mark: int(b[2]) % n, Length: 1 + 8*float64(b[3]), SD: 0.5, Along: 3}}
			case 2:
				in.Centre = []Mark{{P: r3.Vec{Y: -200, Z: math.NaN()}, SXY: 1}, {P: r3.Vec{X: float64(b[2]) / 100, Y: 200, Z: 3}, SXY: 1}}
			case 3:
				in.Fixed = true
			}
		}
		s, err := FitSymmetric(ctx, in)
		if err != nil {
			answered(t, err)
			return
		}
		require.NoError(t, s.Outline.Curve.IsSimple())
		require.True(t, finite(s.Shift) && finite(s.Skew) && finite(s.Roll) && finite(s.Odd))
		for i, d := range s.Outline.Miss {
			u := s.Outline.Param[i]
			require.True(t, finite(d) && finite(u) && finite(s.Outline.SD(u)) && finite(s.Outline.Odds[i]))
		}
		for _, c := range s.Outline.Corners {
			require.True(t, finite(c.Radius) && finite(c.RadiusSD))
		}
		for _, a := range Next(s.Outline, s.Face, 0.5, 0.5, 3) {
			require.True(t, finite(a.Before) && finite(a.After) && a.After <= a.Before)
		}
	})
}

// Whatever heights are read, the face fit answers with a face or an error.
func FuzzFitFace(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		ctx, stop := context.WithTimeout(context.Background(), stuck)
		defer stop()
		edge, face := marksFrom(b)
		all := append(edge, face...)
		box := r2.Box{Min: r2.Vec{X: -700, Y: -500}, Max: r2.Vec{X: 1400, Y: 1400}}
		g, err := FitFace(ctx, all, box, FaceOptions{Mirror: len(b)%2 == 1})
		if err != nil {
			answered(t, err)
			return
		}
		for i, m := range g.Miss {
			require.True(t, finite(m) == all[i].hasHeight())
			require.True(t, finite(g.SD(all[i].P.X, all[i].P.Y)))
		}
	})
}

// Whatever is read round the edge, in whatever order, the outline fit answers
// with a curve or an error.
func FuzzFitOutlineRound(f *testing.F) {
	seeds(f)
	f.Fuzz(func(t *testing.T, b []byte) {
		ctx, stop := context.WithTimeout(context.Background(), stuck)
		defer stop()
		edge, _ := marksFrom(b)
		o, err := FitOutline(ctx, edge, OutlineOptions{KeepAll: len(b)%7 == 3})
		if err != nil {
			answered(t, err)
			return
		}
		require.NoError(t, o.Curve.IsSimple())
		for i, d := range o.Miss {
			require.True(t, finite(d) && finite(o.Param[i]) && finite(o.SD(o.Param[i])) && finite(o.Odds[i]))
		}
	})
}
