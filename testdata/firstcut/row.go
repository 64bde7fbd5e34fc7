package firstcut

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"

	"gonum.org/v1/gonum/spatial/r3"

	"panewright/app/batch"
	"panewright/geom"
)

// Row is one way of measuring one kind of pane: a row of the table.
type Row struct {
	Name   string
	Bar    float64 // share of panes that must sit
	Mirror string  // -mirror, empty for the usual one
	Bowl   bool
	Lean   float64  // rad; nought for 0 to 5°
	Of     []Family // taken in turn
	Half   bool
	read   func(p *Pane, n int) *Readings
}

// Clearance is what the first cut is made with, mm.
const Clearance = 1.5

var fourCornered = []Family{Round, Soft, Round, Superellipse, Soft}

// Rows are the rows of the table. Their order is no part of the seeds, their
// names are.
func Rows() []Row {
	round := func(name string) func(*Pane, int) *Readings {
		return func(p *Pane, n int) *Readings { return p.AllRound(source("read "+name, n), 80) }
	}
	half := func(name string, m int, more func(*Readings, float64) *Readings) func(*Pane, int) *Readings {
		return func(p *Pane, n int) *Readings {
			side := float64(1 - 2*(n/len(fourCornered)%2))
			return more(p.Half(source("read "+name, n), m, side), side)
		}
	}
	rows := []Row{
		{Name: "all round", Bar: 0.97, Of: fourCornered},
		{Name: "all round, mirror not used", Bar: 0.91, Of: fourCornered, Mirror: "none"},
		{Name: "half and 5 check stations", Bar: 0.95, Of: fourCornered, Half: true},
		{Name: "half and 4 widths", Bar: 0.90, Of: fourCornered, Half: true},
		{Name: "bowl up", Bar: 0.94, Of: fourCornered, Bowl: true},
		{Name: "leaning by 5°", Bar: 0.94, Of: fourCornered, Lean: 5 * degree},
		{Name: "three-cornered", Bar: 0.93, Of: []Family{Three}},
		{Name: "three-cornered, no mirror", Bar: 0.93, Of: []Family{ThreeFree}, Mirror: "none"},
		{Name: "half, 4 widths, 3 heights", Bar: 0.90, Of: fourCornered, Half: true},
		{Name: "three-cornered, unasked", Bar: 0.93, Of: []Family{ThreeFree}},
	}
	for i := range rows {
		r := &rows[i]
		switch r.read = round(r.Name); r.Name {
		case "half and 5 check stations":
			r.read = half(r.Name, 44, (*Readings).Checked)
		case "half and 4 widths":
			r.read = half(r.Name, 80, func(in *Readings, side float64) *Readings { return in.Taped(side, 4) })
		case "half, 4 widths, 3 heights":
			r.read = half(r.Name, 80, func(in *Readings, side float64) *Readings { return in.Taped(side, 4).Beyond(side) })
		}
	}
	return rows
}

// Pane invents pane number n of the row.
func (r *Row) Pane(n int) (*Pane, error) {
	rng := source("pane "+r.Name, n)
	lean := r.Lean
	if lean == 0 {
		lean = uniform(rng, 0, 5) * degree
	}
	return NewPane(rng, r.Of[n%len(r.Of)], r.Bowl, r.Half, lean)
}

// Read is what a person reads of pane number n of the row.
func (r *Row) Read(p *Pane, n int) *Readings { return r.read(p, n) }

// Summary is what is looked at of summary.json.
type Summary struct {
	Suspects []struct {
		Kind, ID string
	} `json:"suspects"`
	CentreLine struct {
		Source  string    `json:"source"`
		Point   []float64 `json:"point_mm"`
		Skew    float64   `json:"skew_deg"`
		Roll    float64   `json:"roll_deg"`
		OffsetU float64   `json:"offset_u_mm"`
		SkewU   float64   `json:"skew_u_deg"`
		RollU   float64   `json:"roll_u_deg"`
	} `json:"centre_line"`
	SigmaFound float64 `json:"sigma_found_mm"`
	Frame      *struct {
		BoardToGlass [16]float64 `json:"board_to_glass"`
	} `json:"frame"`
	FitCheck *struct {
		DropsIn  float64 `json:"chance_drops_in"`
		Snug     float64 `json:"chance_snug"`
		Sits     float64 `json:"chance_sits"`
		LedgeGap float64 `json:"ledge_gap_p95_mm"`
		Largest  float64 `json:"largest_gap_p95_mm"`
	} `json:"fit_check"`
	Stock    []float64 `json:"stock_mm"`
	Warnings []struct {
		Code, Text string
	} `json:"warnings"`
}

// boardToGlass is the motion from the board to the glass frame.
func (s *Summary) boardToGlass() geom.Frame {
	m := s.Frame.BoardToGlass
	f := geom.Frame{T: r3.Vec{X: m[3], Y: m[7], Z: m[11]}}
	for i := range 3 {
		copy(f.R[i][:], m[4*i:4*i+3])
	}
	return f
}

// Outcome is what became of one pane.
type Outcome struct {
	Pane    *Pane
	Summary Summary
	Refused string // why no pocket was made; the rest is then empty
	Verdict *Verdict
	Apart   float64 // mm, between drawing and body of the pocket
	Wall    *Wall
	Start   geom.Frame // from the pane's own frame to the glass frame
}

// Try reads pane number n of the row, has its pocket exported into a folder
// under dir, which is removed again, and judges it.
func (r *Row) Try(ctx context.Context, dir string, n int, clearance float64) (*Outcome, error) {
	p, err := r.Pane(n)
	if err != nil {
		return nil, err
	}
	work, err := os.MkdirTemp(dir, "pane")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(work)
	o := &Outcome{Pane: p}
	files := filepath.Join(work, "files")
	if err := r.run(ctx, o, work, r.Read(p, n), "export", clearance, "-out", files); err != nil || o.Refused != "" {
		return o, err
	}
	k, err := ReadPocket(files)
	if err != nil {
		return nil, err
	}
	o.Apart, o.Wall, o.Start = k.Apart, k.Wall, p.Board.Then(o.Summary.boardToGlass())
	o.Verdict, err = Judge(p, k, o.Start, clearance)
	return o, err
}

// Predict is what the program says of pane number n of the row, at a clearance,
// before anything is cut.
func (r *Row) Predict(ctx context.Context, dir string, n int, clearance float64) (*Summary, error) {
	p, err := r.Pane(n)
	if err != nil {
		return nil, err
	}
	work, err := os.MkdirTemp(dir, "pane")
	if err != nil {
		return nil, err
	}
	defer os.RemoveAll(work)
	o := &Outcome{Pane: p}
	err = r.run(ctx, o, work, r.Read(p, n), "solve", clearance)
	return &o.Summary, err
}

// run writes the tables and runs the program without a window on them.
func (r *Row) run(ctx context.Context, o *Outcome, work string, in *Readings, verb string, clearance float64, more ...string) error {
	args := []string{verb, filepath.Join(work, "pane.csv"), "-sigma", number(sigma),
		"-thickness", fmt.Sprintf("%.2f", o.Pane.Solid.Thickness), "-wall", strconv.FormatFloat(clearance, 'f', -1, 64)}
	if r.Bowl {
		args = append(args, "-lay", "bowl")
	}
	if r.Mirror != "" {
		args = append(args, "-mirror", r.Mirror)
	}
	if err := os.WriteFile(args[1], []byte(in.Table), 0o644); err != nil {
		return err
	}
	if in.Tapes != "" {
		tapes := filepath.Join(work, "tapes.csv")
		if err := os.WriteFile(tapes, []byte(in.Tapes), 0o644); err != nil {
			return err
		}
		args = append(args, "-tapes", tapes)
	}
	var out, said bytes.Buffer
	code := batch.Run(ctx, append(args, more...), &out, &said)
	if out.Len() == 0 {
		return fmt.Errorf("firstcut: %s: exit %d: %s", verb, code, strings.TrimSpace(said.String()))
	}
	if err := json.Unmarshal(out.Bytes(), &o.Summary); err != nil {
		return fmt.Errorf("firstcut: summary: %w", err)
	}
	if code != 0 {
		o.Refused = strings.TrimSpace(said.String())
		for _, w := range o.Summary.Warnings {
			if w.Code == "no-pocket" {
				o.Refused = w.Text
			}
		}
	}
	return nil
}
