// Package batch is the program without a window: its verbs check, solve and
// export work on job files and on tables of readings. What it prints, its exit
// codes and its flags are a contract that scripts rely on.
package batch

import (
	"context"
	"encoding/json"
	"errors"
	"flag"
	"fmt"
	"io"
	"path/filepath"
	"runtime"
	"strings"

	"panewright/app/handover"
	"panewright/board"
)

// Exit codes. The worst of several jobs counts.
const (
	done       = 0
	incomplete = 1 // findings, something missing, or a job that cannot be fitted
	unreadable = 2 // a file or a flag that cannot be read, or a file that cannot be written
)

const usage = `panewright-batch check  JOB…            what is wrong or missing, one line each (-json: as JSON)
panewright-batch solve  JOB…            the figures, one JSON object a line
panewright-batch export JOB… -out DIR   the figures and every file, in DIR

JOB is a .pane file or a .csv of readings. Flags go after the verb and override the job:
`

// run is one call of the program.
type run struct {
	ctx      context.Context
	out, err io.Writer
	set      settings
	dir      string // -out
	json     bool
	force    bool

	otherHand bool
}

// Run does what args say and returns the exit code.
func Run(ctx context.Context, args []string, stdout, stderr io.Writer) int {
	r := &run{ctx: ctx, out: stdout, err: stderr}
	verbs := map[string]func(paths []string) int{"check": r.check, "solve": r.solve, "export": r.export}
	if len(args) == 0 || verbs[args[0]] == nil {
		fs := r.flags("panewright-batch")
		r.help(fs)
		return unreadable
	}
	fs := r.flags(args[0])
	paths, err := parse(fs, args[1:])
	if errors.Is(err, flag.ErrHelp) {
		r.help(fs)
		return done
	}
	if err == nil && len(paths) == 0 {
		err = errors.New("no job named: give a .pane file or a .csv of readings")
	}
	if err == nil {
		err = r.set.checkFlags(fs)
	}
	if err == nil && args[0] == "export" {
		err = r.folders(paths)
	}
	if err != nil {
		return r.fail(err)
	}
	if r.set.workers > 0 {
		runtime.GOMAXPROCS(r.set.workers)
	}
	return verbs[args[0]](paths)
}

// flags declares every flag of the program.
func (r *run) flags(verb string) *flag.FlagSet {
	fs := flag.NewFlagSet(verb, flag.ContinueOnError)
	fs.SetOutput(io.Discard)
	r.set.declare(fs)
	fs.StringVar(&r.dir, "out", "", "`folder` to export into")
	fs.BoolVar(&r.json, "json", false, "findings as JSON, one object a line")
	fs.BoolVar(&r.force, "force", false, "export beside files that no earlier export left there")
	fs.BoolVar(&r.otherHand, "other-hand", false, "the files of the mirrored pane too, as for the other side of the car, in the folder other-hand")
	return fs
}

// folders refuses an export without a place, or of two jobs into one.
func (r *run) folders(paths []string) error {
	if r.dir == "" {
		return errors.New("export needs -out DIR")
	}
	of := map[string]string{}
	for _, path := range paths {
		if other, taken := of[stem(path)]; taken {
			return fmt.Errorf("%s and %s would go into one folder: export them one by one", other, path)
		}
		of[stem(path)] = path
	}
	return nil
}

// help prints what the program takes.
func (r *run) help(fs *flag.FlagSet) {
	fmt.Fprint(r.err, usage)
	fs.SetOutput(r.err)
	fs.PrintDefaults()
}

// parse reads flags that stand before, between or after the job names.
func parse(fs *flag.FlagSet, args []string) (paths []string, err error) {
	for len(args) > 0 {
		if err := fs.Parse(args); err != nil {
			return nil, err
		}
		args = fs.Args()
		if len(args) > 0 {
			paths, args = append(paths, args[0]), args[1:]
		}
	}
	return paths, nil
}

// fail prints one line and is the code for what cannot be read.
func (r *run) fail(err error) int {
	fmt.Fprintln(r.err, strings.ReplaceAll(err.Error(), "\n", " "))
	return unreadable
}

// check prints what is wrong or missing, of the readings and of the shape that
// they give. Remarks are printed and do not count.
func (r *run) check(paths []string) int {
	code := done
	for _, path := range paths {
		j, notes, err := r.set.load(path)
		if err != nil {
			code = max(code, r.fail(err))
			continue
		}
		findings := board.Check(j)
		m, err := r.set.solve(r.ctx, j)
		if err != nil {
			code = max(code, r.fail(fmt.Errorf("%s: %w", path, err)))
			continue
		}
		findings = append(findings, m.Findings...)
		for _, n := range notes {
			findings = append(findings, board.Finding{List: "job", Code: "file", Text: n})
		}
		for _, f := range findings {
			if !f.Remark {
				code = max(code, incomplete)
			}
			r.finding(path, f)
		}
	}
	return code
}

func (r *run) finding(path string, f board.Finding) {
	if r.json {
		data, _ := json.Marshal(map[string]any{"file": path, "list": f.List, "row": f.Row, "field": f.Field, "code": f.Code, "text": f.Text})
		fmt.Fprintf(r.out, "%s\n", data)
		return
	}
	where := filepath.Base(path) + ": " + f.List
	if f.Row > 0 {
		where += fmt.Sprintf(" row %d", f.Row)
	}
	if f.Field != "" {
		where += ", " + f.Field
	}
	fmt.Fprintf(r.out, "%s: %s\n", where, strings.ReplaceAll(f.Text, "\n", " "))
}

// solve prints the summary of every job, a line each.
func (r *run) solve(paths []string) int {
	code := done
	for _, path := range paths {
		m, c := r.model(path)
		code = max(code, c)
		if m == nil {
			continue
		}
		pocket, refusal, err := handover.Pocket(r.ctx, m)
		if err != nil {
			code = max(code, r.fail(fmt.Errorf("%s: %w", path, err)))
			continue
		}
		if refusal != nil {
			code = max(code, incomplete)
		}
		sum, err := handover.Summarise(m, pocket, refusal)
		if err != nil {
			code = max(code, r.fail(fmt.Errorf("%s: %w", path, err)))
			continue
		}
		if _, err := sum.TellCut(r.ctx, m, pocket); err != nil {
			code = max(code, r.fail(fmt.Errorf("%s: %w", path, err)))
			continue
		}
		code = max(code, r.print(sum))
	}
	return code
}

// export writes the files of every job and prints its summary. Several jobs
// get a folder each, named after the job's file.
func (r *run) export(paths []string) int {
	code := done
	for _, path := range paths {
		m, c := r.model(path)
		code = max(code, c)
		if m == nil {
			continue
		}
		dir := r.dir
		if len(paths) > 1 {
			dir = filepath.Join(dir, stem(path))
		}
		o, err := r.options(m)
		if err != nil {
			code = max(code, r.fail(fmt.Errorf("%s: %w", path, err)))
			continue
		}
		sum, err := handover.Export(r.ctx, m, dir, o)
		if err != nil {
			code = max(code, r.fail(fmt.Errorf("%s: %w", path, err)))
			continue
		}
		if len(sum.Stock) == 0 {
			code = max(code, incomplete)
		}
		code = max(code, r.print(sum))
	}
	return code
}

// model reads and solves one job; nil where that failed. A job without a pane
// says why on standard error.
func (r *run) model(path string) (*board.Model, int) {
	j, notes, err := r.set.load(path)
	if err != nil {
		return nil, r.fail(err)
	}
	for _, n := range notes {
		fmt.Fprintf(r.err, "%s: %s\n", path, n)
	}
	m, err := r.set.solve(r.ctx, j)
	if err != nil {
		return nil, r.fail(fmt.Errorf("%s: %w", path, err))
	}
	if m.Pane == nil {
		fmt.Fprintf(r.err, "%s: %s\n", path, strings.ReplaceAll(m.Why, "\n", " "))
		return m, incomplete
	}
	return m, done
}

func (r *run) print(sum *handover.Summary) int {
	line, err := sum.Line()
	if err != nil {
		return r.fail(err)
	}
	if _, err := fmt.Fprintf(r.out, "%s\n", line); err != nil {
		return r.fail(err)
	}
	return done
}

// stem is a file's name without folder and extension.
func stem(path string) string {
	return strings.TrimSuffix(filepath.Base(path), filepath.Ext(path))
}
