package fit

import (
	"fmt"
	"testing"
)

// How time grows with the number of readings of an edge.
func BenchmarkFitOutlineGrowth(b *testing.B) {
	for _, n := range []int{100, 1000, 5000, 20000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			rng := source(80, n)
			marks := newPane(rng, maker{}).probeMarks(rng, n, 0.3)
			for b.Loop() {
				fitOutline(b, marks)
			}
		})
	}
}

// How time grows with the number of heights, a third of them on the edge.
func BenchmarkFitFaceGrowth(b *testing.B) {
	for _, n := range []int{100, 1000, 5000, 20000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			rng := source(81, n)
			p := newPane(rng, maker{})
			marks := append(p.probeMarks(rng, n/3, 0.3), p.faceMarks(rng, n-n/3, 0.3)...)
			for b.Loop() {
				fitFace(b, marks, false)
			}
		})
	}
}

// How time grows with the number of readings of a pane that mirrors.
func BenchmarkFitSymmetricGrowth(b *testing.B) {
	for _, n := range []int{100, 1000, 5000, 20000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			rng := source(82, n)
			p := newPane(rng, maker{})
			in := SymmetricInput{Edge: p.probeMarks(rng, n, 0.3), Face: p.faceMarks(rng, 60, 0.3)}
			for b.Loop() {
				fitSymmetric(b, in)
			}
		})
	}
}

// evalPlaces are 10,000 places within the box of marks.
func evalPlaces(marks []Mark) (at [][3]float64) {
	const n = 100
	box := boxOf(marks, 0)
	for k := range n * n {
		u, v := float64(k/n)/(n-1), float64(k%n)/(n-1)
		at = append(at, [3]float64{box.Min.X + u*(box.Max.X-box.Min.X), box.Min.Y + v*(box.Max.Y-box.Min.Y)})
	}
	return at
}

func BenchmarkFaceEval10000(b *testing.B) {
	rng := source(83, 0)
	p := newPane(rng, maker{})
	marks := append(p.edgeMarks(rng, 100, 0.5), p.faceMarks(rng, 60, 0.5)...)
	benchEval(b, marks)
}

func benchEval(b *testing.B, marks []Mark) {
	f, at := fitFace(b, marks, false), evalPlaces(marks)
	var sum float64
	for b.Loop() {
		for _, q := range at {
			sum += f.Face.At(q[0], q[1])
		}
	}
}

// BenchmarkAgainstScipy times the fits and, in the same run and on the same
// readings (100 stations, 60 heights), scipy's smoothers. The figures named
// "times-faster" say how many times longer scipy takes: for the face against a
// thin plate with its smoothing cross-validated, with one decomposition and
// with a solution for each of 21; for the outline against splprep, which is
// told its smoothing.
//
//	go test ./geom/fit -run '^$' -bench AgainstScipy
func BenchmarkAgainstScipy(b *testing.B) {
	rng := source(84, 0)
	p := newPane(rng, maker{})
	edge := p.edgeMarks(rng, 100, 0.5)
	marks := append(edge[:len(edge):len(edge)], p.faceMarks(rng, 60, 0.5)...)
	face, outline := scipyJob{Sigma: 0.5, At: evalPlaces(marks)}, scipyJob{Sigma: 0.5}
	face.add(marks)
	for _, m := range edge {
		outline.X, outline.Y = append(outline.X, m.P.X), append(outline.Y, m.P.Y)
	}
	var seconds struct {
		Face     float64
		FaceEach float64 `json:"face_each"`
		Eval     float64
		Outline  float64
	}
	runScipy(b, "testdata/speed.py", map[string]scipyJob{"face": face, "outline": outline}, &seconds)
	report := func(b *testing.B, theirs float64, unit string) {
		b.ReportMetric(theirs*float64(b.N)/b.Elapsed().Seconds(), unit)
	}
	b.Run("face", func(b *testing.B) {
		for b.Loop() {
			fitFace(b, marks, false)
		}
		report(b, seconds.Face, "times-faster")
		report(b, seconds.FaceEach, "times-faster-than-each")
	})
	b.Run("eval10000", func(b *testing.B) {
		benchEval(b, marks)
		report(b, seconds.Eval, "times-faster")
	})
	b.Run("outline", func(b *testing.B) {
		for b.Loop() {
			fitOutline(b, edge)
		}
		report(b, seconds.Outline, "times-faster")
	})
}
