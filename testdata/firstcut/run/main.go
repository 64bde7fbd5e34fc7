// Command run measures the first cut: go run ./testdata/firstcut/run -panes 60.
// The table goes to standard output; it takes about half a second a pane.
package main

import (
	"context"
	"flag"
	"fmt"
	"os"
	"slices"
	"strings"

	"panewright/testdata/firstcut"
)

func main() {
	panes := flag.Int("panes", 6, "panes a row")
	from := flag.Int("from", 0, "number of the first pane")
	calibrate := flag.Int("calibrate", 0, "panes for each chance that is compared with what happens")
	rows := flag.String("rows", "", "only these rows, by their names or parts of them, semicolon between")
	clearance := flag.Float64("clearance", firstcut.Clearance, "mm between silhouette and wall")
	all := flag.Bool("all", false, "tell of every pane, not only of those that do not sit")
	flag.Parse()
	if err := run(*panes, *from, *calibrate, *rows, *clearance, *all); err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}

func run(panes, from, calibrate int, only string, clearance float64, all bool) error {
	ctx := context.Background()
	dir, err := os.MkdirTemp("", "firstcut")
	if err != nil {
		return err
	}
	defer os.RemoveAll(dir)
	var tried, compared []*firstcut.Outcome
	var told strings.Builder
	if panes > 0 {
		firstcut.Head(os.Stdout)
	}
	for _, r := range firstcut.Rows() {
		if !wanted(r.Name, only) || panes == 0 {
			continue
		}
		out, err := r.Outcomes(ctx, dir, from, panes, clearance)
		if err != nil {
			return err
		}
		r.Print(os.Stdout, firstcut.Sum(out))
		for i, o := range out {
			if all || o.Limit() != "" {
				fmt.Fprintf(&told, "%s, pane %d: %s", r.Name, from+i, o.Why(clearance))
			}
		}
		tried = append(tried, out...)
	}
	if panes > 0 {
		t := firstcut.Sum(tried)
		fmt.Printf("wall of pocket.dxf and upright facets of pocket.stl lie at most %.3f mm apart; the ledge reaches at most %.3f mm into the glass at rest\n\n", t.Apart, t.Through)
	}
	for _, r := range firstcut.Rows() {
		if calibrate == 0 || !wanted(r.Name, only) {
			continue
		}
		out, err := r.Calibrate(ctx, dir, calibrate, os.Stdout)
		if err != nil {
			return err
		}
		compared = append(compared, out...)
	}
	fmt.Println("\nall panes by the chance to sit that they were given:")
	firstcut.Reliability(os.Stdout, append(tried, compared...))
	fmt.Printf("\n%s", told.String())
	return nil
}

// wanted tells whether a row is named by one of the words: whole, or in part
// where no row has the word for its name.
func wanted(name, words string) bool {
	if words == "" {
		return true
	}
	for w := range strings.SplitSeq(words, ";") {
		whole := slices.ContainsFunc(firstcut.Rows(), func(r firstcut.Row) bool { return r.Name == w })
		if name == w || !whole && strings.Contains(name, w) {
			return true
		}
	}
	return false
}
