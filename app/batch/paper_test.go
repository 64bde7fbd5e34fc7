package batch

import (
	"flag"
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"panewright/app/handover"
)

func TestPaperFlags(t *testing.T) {
	for _, c := range []struct {
		args []string
		want handover.Paper
		ok   bool
	}{
		{nil, handover.Paper{}, true},
		{[]string{"-paper", "a3"}, handover.Paper{Sheet: "a3"}, true},
		{[]string{"-printed", "149.5/150,201/200"}, handover.Paper{Across: 149.5 / 150, Up: 1.005}, true},
		{[]string{"-printed", "1.01, 0.99"}, handover.Paper{Across: 1.01, Up: 0.99}, true},
		{[]string{"-printed", "149.5"}, handover.Paper{}, false},
		{[]string{"-printed", "149.5/150,"}, handover.Paper{}, false},
		{[]string{"-printed", "a/150,1"}, handover.Paper{}, false},
		{[]string{"-printed", "-1,1"}, handover.Paper{}, false},
		{[]string{"-printed", "NaN,1"}, handover.Paper{}, false},
	} {
		r := &run{}
		fs := flag.NewFlagSet("export", flag.ContinueOnError)
		fs.SetOutput(io.Discard)
		r.paperFlags(fs)
		err := fs.Parse(c.args)
		require.Equal(t, c.ok, err == nil, "%v: %v", c.args, err)
		if c.ok {
			require.Equal(t, c.want, r.paper)
		}
	}
}
