package batch

import (
	"errors"
	"flag"
	"strconv"
	"strings"

	"panewright/board"
)

// paperFlags declares how templates are printed.
func (s *settings) paperFlags(fs *flag.FlagSet) {
	fs.Func("paper", "sheet that templates are printed on: `A4, A3, Letter or Tabloid` [A4, for a job in inches Letter]", func(text string) error {
		s.change = append(s.change, func(j *board.Job) { j.Pack.Paper.Sheet = text })
		return nil
	})
	fs.Func("printed", "what bars of a print of the templates made without this flag measured by what stands beside them, `ACROSS,UP`, as 149.5/150,200.2/200: they are drawn so that they come out true", func(text string) error {
		across, up, ok := strings.Cut(text, ",")
		if !ok {
			return errors.New("want ACROSS,UP")
		}
		x, err := ratio(across)
		if err != nil {
			return err
		}
		y, err := ratio(up)
		s.change = append(s.change, func(j *board.Job) { j.Pack.Paper.Across, j.Pack.Paper.Up = x, y })
		return err
	})
}

// ratio reads a quotient, 149.5/150, or a number.
func ratio(text string) (float64, error) {
	over, under, quotient := strings.Cut(text, "/")
	v, err := strconv.ParseFloat(strings.TrimSpace(over), 64)
	if err == nil && quotient {
		var w float64
		w, err = strconv.ParseFloat(strings.TrimSpace(under), 64)
		v /= w
	}
	if err != nil || !(v > 0) {
		return 0, errors.New("want two lengths as 149.5/150")
	}
	return v, nil
}
