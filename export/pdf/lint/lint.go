// Package lint hands PDF files to readers that are not ours, for tests: qpdf for
// the file itself, and poppler's pdfinfo, pdftotext and pdftoppm for what is on
// the pages. On a page drawn by pdftoppm it measures lines to a twentieth of a
// millimetre. Where a program is missing, the test is skipped with a clear line.
package lint

import (
	"bytes"
	"fmt"
	"image"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"testing"
)

// run runs one of the readers on a file of these bytes and returns what it
// prints; the file's name takes the place of the argument FILE.
func run(t testing.TB, data []byte, program string, args ...string) []byte {
	t.Helper()
	path, err := exec.LookPath(program)
	if err != nil {
		t.Skipf("skipped: needs %s (sh assets/setup.sh tests)", program)
	}
	name := filepath.Join(t.TempDir(), "file.pdf")
	if err := os.WriteFile(name, data, 0o600); err != nil {
		t.Fatal(err)
	}
	for i := range args {
		if args[i] == "FILE" {
			args[i] = name
		}
	}
	cmd := exec.Command(path, args...)
	var out, complaints bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &complaints
	if err := cmd.Run(); err != nil {
		t.Fatalf("%s: %v\n%s%s", program, err, out.Bytes(), complaints.Bytes())
	}
	if complaints.Len() > 0 {
		t.Errorf("%s: %s", program, complaints.Bytes())
	}
	return out.Bytes()
}

// Check has qpdf read the whole file and fails the test where it warns of
// anything.
func Check(t testing.TB, data []byte) {
	t.Helper()
	run(t, data, "qpdf", "--check", "FILE")
}

// Info is what pdfinfo says of a file.
type Info struct {
	Title string
	Dated bool
	Pages []Size
}

// Size is the size of a page in mm.
type Size struct{ Width, Height float64 }

var (
	infoLine = regexp.MustCompile(`(?m)^(\w+): +(.*)$`)
	grayHead = regexp.MustCompile(`^P5\n(\d+) (\d+)\n255\n`)
	sizeLine = regexp.MustCompile(`(?m)^Page +\d+ size: +([0-9.]+) x ([0-9.]+) pts`)
)

// Inspect has pdfinfo read a file.
func Inspect(t testing.TB, data []byte) Info {
	t.Helper()
	text := run(t, data, "pdfinfo", "-f", "1", "-l", "9999", "FILE")
	var out Info
	for _, m := range infoLine.FindAllSubmatch(text, -1) {
		switch string(m[1]) {
		case "Title":
			out.Title = string(m[2])
		case "CreationDate", "ModDate":
			out.Dated = true
		}
	}
	for _, m := range sizeLine.FindAllSubmatch(text, -1) {
		w, _ := strconv.ParseFloat(string(m[1]), 64)
		h, _ := strconv.ParseFloat(string(m[2]), 64)
		out.Pages = append(out.Pages, Size{w * 25.4 / 72, h * 25.4 / 72})
	}
	return out
}

// Text is what stands on a page, from 1, as pdftotext reads it; on all pages
// for 0.
func Text(t testing.TB, data []byte, page int) string {
	t.Helper()
	args := []string{"-layout", "FILE", "-"}
	if page > 0 {
		n := strconv.Itoa(page)
		args = append([]string{"-f", n, "-l", n}, args...)
	}
	return string(run(t, data, "pdftotext", args...))
}

// Picture is a part of a page drawn dot by dot.
type Picture struct {
	grey      *image.Gray
	perMM     float64 // dots
	left, top float64 // mm, of the page
	height    float64 // mm, of the page
}

// Draw has pdftoppm draw a part of a page at so many dots an inch. The part is
// given by its low left corner and its size, mm, from the low left corner of
// the page.
func Draw(t testing.TB, data []byte, page int, x, y, width, height, dpi float64) Picture {
	t.Helper()
	pages := Inspect(t, data).Pages
	if page > len(pages) {
		t.Fatalf("page %d of %d", page, len(pages))
	}
	p := Picture{perMM: dpi / 25.4, height: pages[page-1].Height}
	dots := func(mm float64) int { return int(mm*p.perMM + 0.5) }
	left, top := dots(x), dots(p.height-y-height)
	p.left, p.top = float64(left)/p.perMM, float64(top)/p.perMM
	n := strconv.Itoa(page)
	out := run(t, data, "pdftoppm", "-gray", "-r", fmt.Sprint(dpi), "-f", n, "-l", n,
		"-x", fmt.Sprint(left), "-y", fmt.Sprint(top), "-W", fmt.Sprint(dots(width)), "-H", fmt.Sprint(dots(height)), "FILE")
	p.grey, _ = grey(t, out)
	return p
}

// DrawAll has pdftoppm draw every page of a file, coarsely: so that a page that
// cannot be drawn, or has nothing on it, is seen.
func DrawAll(t testing.TB, data []byte, dpi float64) (all []Picture) {
	t.Helper()
	out := run(t, data, "pdftoppm", "-gray", "-r", fmt.Sprint(dpi), "FILE")
	for _, page := range Inspect(t, data).Pages {
		p := Picture{perMM: dpi / 25.4, height: page.Height}
		p.grey, out = grey(t, out)
		all = append(all, p)
	}
	if len(out) > 0 {
		t.Fatalf("pdftoppm: %d bytes more than pages", len(out))
	}
	return all
}

// grey is the first grey picture of those that stand one behind the other, and
// what stands behind it.
func grey(t testing.TB, out []byte) (*image.Gray, []byte) {
	t.Helper()
	head := grayHead.FindSubmatch(out)
	if head == nil {
		t.Fatal("pdftoppm: not a grey picture")
	}
	w, _ := strconv.Atoi(string(head[1]))
	h, _ := strconv.Atoi(string(head[2]))
	pix := out[len(head[0]):]
	if len(pix) < w*h {
		t.Fatalf("pdftoppm: %d of %d dots", len(pix), w*h)
	}
	return &image.Gray{Pix: pix[:w*h], Stride: w, Rect: image.Rect(0, 0, w, h)}, pix[w*h:]
}

// dark is how much ink a dot holds, 0 to 1.
func (p Picture) dark(i, j int) float64 { return 1 - float64(p.grey.GrayAt(i, j).Y)/255 }

// Across are the places, mm from the left of the page, at which lines are
// crossed on the way along a height of the page.
func (p Picture) Across(y float64) []float64 {
	j := int((p.height - y - p.top) * p.perMM)
	return p.crossed(p.grey.Rect.Dx(), p.left, func(i int) float64 { return p.dark(i, j) })
}

// Up are the places, mm from the bottom of the page, at which lines are crossed
// on the way up the page.
func (p Picture) Up(x float64) []float64 {
	i := int((x - p.left) * p.perMM)
	h := p.grey.Rect.Dy()
	return p.crossed(h, p.height-p.top-float64(h)/p.perMM, func(j int) float64 { return p.dark(i, h-1-j) })
}

// crossed finds runs of ink; the place of a line is the middle of its ink. Lines
// too faint to be meant, such as those of a grid in the background, are passed
// over.
func (p Picture) crossed(n int, from float64, ink func(int) float64) (out []float64) {
	const none, meant = 0.05, 0.4
	sum, moment, most := 0.0, 0.0, 0.0
	for i := range n + 1 {
		d := 0.0
		if i < n {
			d = ink(i)
		}
		if d > none {
			sum, moment, most = sum+d, moment+d*(float64(i)+0.5), max(most, d)
			continue
		}
		if most > meant {
			out = append(out, from+moment/sum/p.perMM)
		}
		sum, moment, most = 0, 0, 0
	}
	return out
}

// Blank tells whether there is no ink in a part of the picture, given as Draw's.
func (p Picture) Blank(x, y, width, height float64) bool {
	dot := func(mm float64) int { return int(mm*p.perMM + 0.5) }
	part := image.Rect(dot(x-p.left), dot(p.height-y-height-p.top), dot(x+width-p.left), dot(p.height-y-p.top)).Intersect(p.grey.Rect)
	for j := part.Min.Y; j < part.Max.Y; j++ {
		for i := part.Min.X; i < part.Max.X; i++ {
			if p.dark(i, j) > 0.05 {
				return false
			}
		}
	}
	return true
}
