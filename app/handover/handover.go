// Package handover turns a solved job into the files that a body designer and a
// cutting shop work from, all in the glass frame and in millimetres, and writes
// them into a folder. The same job gives the same bytes.
package handover

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"path/filepath"

	"panewright/board"
	stepfile "panewright/export/step"
	"panewright/geom"
	"panewright/geom/fixture"
)

// Options say how to export.
type Options struct {
	Force bool // write beside files that no earlier export of the same job left there
	Keep  bool // keep an earlier pack of the same job, of another cut or state of it: refuse with an *EarlierError

	// OtherHand is the solved job of board.OtherHand, where its files are wanted
	// too: they go into the folder other-hand. nil: they are not.
	OtherHand *board.Model

	Progress func(stage string, done float64)

	Disk board.Disk // what is written to; nil: the computer's own
}

// File is one file of the pack.
type File struct {
	Name string
	Data []byte
}

const summaryName = "summary.json"

// Pocket is the fit-check pocket of a model; exactly one of the results is set
// unless the context ended.
func Pocket(ctx context.Context, m *board.Model) (*fixture.Pocket, *fixture.Refusal, error) {
	if m.Pane == nil {
		return nil, &fixture.Refusal{Code: "no-pane", Reason: m.Why}, nil
	}
	p, err := fixture.New(ctx, m.Pane, m.Job.Pocket)
	var refused *fixture.Refusal
	if errors.As(err, &refused) {
		return nil, refused, nil
	}
	return p, nil, err
}

// Build makes every file of the pack that the model carries, in memory, with
// the summary that lists them. A model without a pane gives the summary, the
// readings, their report and the reading sheet alone.
func Build(ctx context.Context, m *board.Model, progress func(stage string, done float64)) ([]File, *Summary, error) {
	return BuildWith(ctx, m, Options{Progress: progress})
}

// BuildWith is Build with options.
func BuildWith(ctx context.Context, m *board.Model, o Options) ([]File, *Summary, error) {
	progress := o.Progress
	if progress == nil {
		progress = func(string, float64) {}
	}
	if err := m.Job.Pack.Check(); err != nil {
		return nil, nil, err
	}
	progress("pocket", 0)
	pocket, refusal, err := Pocket(ctx, m)
	if err != nil {
		return nil, nil, err
	}
	sum, err := Summarise(m, pocket, refusal)
	if err != nil {
		return nil, nil, err
	}
	p := &pack{ctx: ctx, m: m, pocket: pocket, sum: sum, paper: m.Job.Pack.Paper, body: m.Job.Pack.Body, otherHand: o.OtherHand != nil, faces: map[*geom.Pane]stepfile.Document{}}
	sum.Warnings = append(sum.Warnings, otherHandWarning(m, o)...)
	if m.Job.Date != "" && p.date() == "" {
		sum.Warnings = append(sum.Warnings, Warning{"no-date", fmt.Sprintf("The job's date, %q, is no date, so the files carry none: type it as 2031-05-20.", m.Job.Date)})
	}
	if err := p.prepare(); err != nil {
		return nil, nil, err
	}
	steps := p.steps()
	for i, s := range steps {
		if err := ctx.Err(); err != nil {
			return nil, nil, err
		}
		progress(s.name, 0.2+0.7*float64(i)/float64(len(steps)))
		var buf bytes.Buffer
		if err := s.write(&buf); err != nil {
			return nil, nil, fmt.Errorf("handover: %s: %w", s.name, err)
		}
		p.files = append(p.files, File{s.name, buf.Bytes()})
		sum.Files = append(sum.Files, s.name)
	}
	sum.Files = append(sum.Files, summaryName)
	if m.Pane != nil {
		sum.Files = append(sum.Files, zipName)
	}
	data, err := sum.Indented()
	if err != nil {
		return nil, nil, err
	}
	p.files = append(p.files, File{summaryName, data})
	if m.Pane != nil {
		whole, err := zipped(p.files, p.date())
		if err != nil {
			return nil, nil, err
		}
		p.files = append(p.files, whole)
	}
	return p.files, sum, nil
}

// pack is the work space of one Build.
type pack struct {
	ctx    context.Context
	m      *board.Model
	pocket *fixture.Pocket
	tiling *fixture.Tiling // nil: one piece
	sum    *Summary
	paper  board.Paper
	files  []File

	body      board.BodyFiles
	otherHand bool                             // the other-hand pane is exported too
	v         variant                          // of the model's files being written
	twins     []variant                        // all of them, the files themselves first
	faces     map[*geom.Pane]stepfile.Document // faces.step before it is moved and scaled
}

// step makes one file.
type step struct {
	name  string
	write func(*bytes.Buffer) error
}

// steps are the files that the model carries, in the order they are written.
func (p *pack) steps() []step {
	steps := []step{{"readings.csv", p.readings}}
	if p.m.Pane != nil {
		steps = append(steps,
			step{"outline.csv", p.outlineTable},
			step{"face.csv", p.faceTable},
		)
		for _, v := range p.twins {
			steps = append(steps, p.as(v).model()...)
		}
	}
	if p.pocket != nil {
		steps = append(steps,
			step{"pocket.dxf", p.pocketDXF},
			step{"pocket-r12.dxf", p.pocketR12},
			step{"pocket.stl", p.pocketSTL},
		)
		steps = append(steps, p.tileSteps()...)
		steps = append(steps, p.shopSteps()...)
	}
	steps = append(steps, p.printed()...)
	return append(steps, step{"README.txt", p.readme})
}

// Export builds the pack and writes it into dir, which is made where it is not
// there. Files of an earlier export of the same job are replaced, unless o.Keep,
// and those that this export no longer has are removed; anything else in the folder
// stops it unless o.Force. Every file is written beside its place and renamed, so
// that a stop in the middle leaves old files or new ones, never half of one.
func Export(ctx context.Context, m *board.Model, dir string, o Options) (*Summary, error) {
	s := board.Store{Disk: o.Disk}
	old, err := occupied(dir, m.Job.Name, o.Force)
	if err == nil && o.Keep {
		err = keep(dir, m.Job)
	}
	if err != nil {
		return nil, err
	}
	side := filepath.Join(dir, otherHandFolder)
	oldSide, err := occupied(side, board.OtherHandName(m.Job.Name), o.Force)
	if err != nil {
		return nil, err
	}
	files, sum, err := BuildWith(ctx, m, o.firstHalf())
	if err != nil {
		return nil, err
	}
	other, err := buildOtherHand(ctx, o)
	if err != nil {
		return nil, err
	}
	if err := put(ctx, s, dir, m.Job.Name, files, old); err != nil {
		return nil, err
	}
	if err := put(ctx, s, side, board.OtherHandName(m.Job.Name), other, oldSide); err != nil {
		return nil, err
	}
	if o.Progress != nil {
		o.Progress("", 1)
	}
	return sum, nil
}
