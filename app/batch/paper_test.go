package batch

import (
	"flag"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/board"
)

func TestPaperFlags(t *testing.T) {
	for _, c := range []struct {
		args []string
		want board.Paper
		ok   bool
	}{
		{nil, board.Paper{}, true},
		{[]string{"-paper", "a3"}, board.Paper{Sheet: "a3"}, true},
		{[]string{"-printed", "149.5/150,201/200"}, board.Paper{Across: 149.5 / 150, Up: 1.005}, true},
		{[]string{"-printed", "1.01, 0.99"}, board.Paper{Across: 1.01, Up: 0.99}, true},
		{[]string{"-printed", "149.5"}, board.Paper{}, false},
		{[]string{"-printed", "149.5/150,"}, board.Paper{}, false},
		{[]string{"-printed", "a/150,1"}, board.Paper{}, false},
		{[]string{"-printed", "-1,1"}, board.Paper{}, false},
		{[]string{"-printed", "NaN,1"}, board.Paper{}, false},
	} {
		s := &settings{}
		fs := flag.NewFlagSet("export", flag.ContinueOnError)
		fs.SetOutput(io.Discard)
		s.paperFlags(fs)
		err := fs.Parse(c.args)
		require.Equal(t, c.ok, err == nil, "%v: %v", c.args, err)
		if c.ok {
			j := board.NewJob("a")
			s.apply(j)
			require.Equal(t, c.want, j.Pack.Paper)
		}
	}
}
