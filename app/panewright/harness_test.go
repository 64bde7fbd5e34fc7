package main

import (
	"bufio"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"sync"
	"syscall"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// screen is an X server of our own with the program's surroundings.
type screen struct {
	t       *testing.T
	display string
	env     []string
	program string
}

// state is the visible state of the window that the program writes on SIGUSR1.
type state struct {
	Title    string     `json:"title"`
	Path     string     `json:"path"`
	Unit     string     `json:"unit"`
	Saved    bool       `json:"saved"`
	Current  bool       `json:"current"`
	Step     string     `json:"step"`
	Picture  string     `json:"picture"`
	List     string     `json:"list"`
	Row      int        `json:"row"`
	Col      int        `json:"col"`
	Focus    string     `json:"focus"`
	Bench    *large     `json:"bench"` // what the bench view shows, while it is open
	Dialog   string     `json:"dialog"`
	Status   string     `json:"status"`
	Headline string     `json:"headline"`
	Undo     string     `json:"undo"`
	Redo     string     `json:"redo"`
	Readings []reading  `json:"readings"`
	Used     *plane     `json:"centre_line"`
	Found    *plane     `json:"centre_line_found"`
	Typed    bool       `json:"centre_line_typed"`
	Why      string     `json:"why"`
	Exported []string   `json:"exported"`
	Solid    *solid     `json:"solid"`
	At       [4]float64 `json:"picture_at"`
	OffsetAt [4]float64 `json:"offset_at"`
	HandAt   [4]float64 `json:"by_hand_at"`
	Photo    string     `json:"photo"`
	PhotoAt  [4]float64 `json:"photo_at"`
	Verdict  struct{ Code, Text string }
	Links    []struct {
		Code   string
		Weight float64
	}
	Outcome *outcome `json:"consequence"`
	Warning string   `json:"warning"`
	Folded  bool     `json:"folded"`
	Part    string   `json:"fit_part"`
	Cuts    []cut    `json:"cuts"`
	Gaps    []gap    `json:"gaps"`
	Causes  []cause  `json:"causes"`
	Proof   struct {
		Cut    int
		Reason string
	} `json:"proof"`
	Pack map[string][4]float64 `json:"pack_at"`
	Fit  *struct {
		DropsIn, Snug, Sits, LeastGap float64
		BindsAt                       []string
	} `json:"fit"`
}

// solid is what the solid view shows.
type solid struct {
	From    string  `json:"from"`
	Turn    float64 `json:"turn_deg"`
	Rise    float64 `json:"rise_deg"`
	Map     string  `json:"map"`
	Ready   bool    `json:"ready"`
	Fine    bool    `json:"fine"`
	Section string  `json:"section"`
	Level   float64 `json:"level_mm"`
	Stripes struct {
		On    bool
		Angle float64
	} `json:"stripes"`
	Pocket bool     `json:"pocket"`
	Lift   float64  `json:"lift_mm"`
	Tiles  []string `json:"tiles"`
}

type reading struct {
	Kind  string `json:"kind"`
	ID    string `json:"id"`
	X     string `json:"x"`
	Y     string `json:"y"`
	Z     string `json:"z"`
	State string `json:"state"`
	Sure  bool   `json:"sure"`
	Offer string `json:"offer"` // what the key would use
}

// large is what the bench view shows.
type large struct {
	Station, Column, Advice string
	Last                    []struct{ Name, Says string }
}

type cut struct {
	Number   int      `json:"number"`
	Reason   string   `json:"reason"`
	Offset   float64  `json:"offset_mm"`
	Accepted []string `json:"accepted"`
	Verdict  string   `json:"verdict"`
}

type gap struct {
	Cut     int    `json:"cut"`
	Station string `json:"station"`
	Wall    string `json:"wall"`
	Ledge   string `json:"ledge"`
}

type cause struct {
	Name     string  `json:"name"`
	Value    float64 `json:"value"`
	Share    float64 `json:"share"`
	Accepted bool    `json:"accepted"`
}

type plane struct {
	Offset float64    `json:"offset_mm"`
	Skew   float64    `json:"skew_deg"`
	Roll   float64    `json:"roll_deg"`
	Source string     `json:"source"`
	Point  [3]float64 `json:"point_mm"`
}

// outcome is what a centre line would do.
type outcome struct {
	Off         float64    `json:"off_mm"`
	Odds        float64    `json:"times_uncertainty"`
	Widest      float64    `json:"station_off_mm"`
	WidestAt    string     `json:"station"`
	WidthChange float64    `json:"width_change_mm"`
	Corners     [2]float64 `json:"corners_mm"`
	Kinks       [2]float64 `json:"bend_deg"`
}

// rows are the typed x, y and z of one kind of reading.
func (s state) rows(kind string) [][3]string {
	var out [][3]string
	for _, r := range s.Readings {
		if r.Kind == kind {
			out = append(out, [3]string{r.X, r.Y, r.Z})
		}
	}
	return out
}

// reading is what the solve says of the reading in a row of a list.
func (s state) reading(list string, row int) reading {
	for _, r := range s.Readings {
		if r.Kind != list {
			continue
		}
		if row == 0 {
			return r
		}
		row--
	}
	return reading{}
}

// rowState is what the solve says of the reading under the cursor.
func (s state) rowState() string { return s.reading(s.List, s.Row).State }

var pictures = flag.Bool("pictures", false, "make the pictures of README.md anew, with TestEndToEndPictures")

// built is the folder that the program was built into.
var built string

// program builds the program once, with the flags that everyone builds it with.
var program = sync.OnceValues(func() (string, error) {
	var err error
	if built, err = os.MkdirTemp("", "panewright"); err != nil {
		return "", err
	}
	path := filepath.Join(built, "panewright")
	out, err := exec.Command("go", "build", "-o", path, ".").CombinedOutput()
	if err != nil {
		err = fmt.Errorf("build: %w: %s", err, out)
	}
	return path, err
})

// TestMain takes the program that was built away again.
func TestMain(m *testing.M) {
	code := m.Run()
	if built != "" {
		_ = os.RemoveAll(built)
	}
	os.Exit(code)
}

// newScreen has the program built and starts an X server for it, or skips where
// that cannot be done here.
func newScreen(t *testing.T, width, height int) *screen {
	t.Helper()
	for _, tool := range []string{"Xvfb", "xdotool"} {
		if _, err := exec.LookPath(tool); err != nil {
			t.Skipf("%s is not installed: the window is not tested", tool)
		}
	}
	dir := t.TempDir()
	path, err := program()
	require.NoError(t, err)
	s := &screen{t: t, program: path}
	s.start(width, height)
	home := filepath.Join(dir, "home")
	for _, d := range []string{home, filepath.Join(home, ".cache"), filepath.Join(home, ".config"), filepath.Join(dir, "run")} {
		require.NoError(t, os.MkdirAll(d, 0o700))
	}
	s.env = append(os.Environ(), "DISPLAY="+s.display, "HOME="+home, "XDG_CONFIG_HOME="+filepath.Join(home, ".config"),
		"XDG_CACHE_HOME="+filepath.Join(home, ".cache"), "XDG_RUNTIME_DIR="+filepath.Join(dir, "run"), "FYNE_SCALE=1", "LANG=C.UTF-8")
	return s
}

// start starts the X server on a display that it finds free itself.
func (s *screen) start(width, height int) {
	r, w, err := os.Pipe()
	require.NoError(s.t, err)
	x := exec.Command("Xvfb", "-displayfd", "3", "-screen", "0", fmt.Sprintf("%dx%dx24", width, height), "-nolisten", "tcp", "-noreset")
	x.ExtraFiles = []*os.File{w}
	require.NoError(s.t, x.Start())
	w.Close()
	s.t.Cleanup(func() {
		_ = x.Process.Kill()
		_ = x.Wait()
	})
	require.NoError(s.t, r.SetReadDeadline(time.Now().Add(20*time.Second)))
	name, err := bufio.NewReader(r).ReadString('\n')
	require.NoError(s.t, err, "Xvfb names no display")
	r.Close()
	s.display = ":" + strings.TrimSpace(name)
}

// window is one run of the program.
type window struct {
	*screen
	cmd   *exec.Cmd
	id    string
	ready string
	log   *os.File
}

// with has failures reported to a part of the test.
func (w *window) with(t *testing.T) *window {
	s := *w.screen
	s.t = t
	c := *w
	c.screen = &s
	return &c
}

// open runs the program and waits until its window takes keys.
func (s *screen) open(theme string, args ...string) *window {
	s.t.Helper()
	w := &window{screen: s, ready: filepath.Join(s.t.TempDir(), "ready")}
	var err error
	w.log, err = os.Create(w.ready + ".log")
	require.NoError(s.t, err)
	w.cmd = exec.Command(s.program, append([]string{"-ready", w.ready}, args...)...)
	w.cmd.Env = append(s.env[:len(s.env):len(s.env)], "FYNE_THEME="+theme)
	w.cmd.Stdout, w.cmd.Stderr = w.log, w.log
	require.NoError(s.t, w.cmd.Start())
	s.t.Cleanup(w.kill)
	w.until("the window", 30*time.Second, func() bool { return exists(w.ready) })
	out := w.tool("search", "--onlyvisible", "--pid", strconv.Itoa(w.cmd.Process.Pid))
	w.id = strings.Fields(out)[0]
	w.tool("windowmove", w.id, "0", "0")
	w.tool("windowfocus", w.id)
	return w
}

// kill ends the program as a power cut does.
func (w *window) kill() {
	if w.cmd.ProcessState == nil {
		_ = w.cmd.Process.Kill()
		_ = w.cmd.Wait()
	}
	w.log.Close()
}

// tool runs xdotool.
func (w *window) tool(args ...string) string {
	w.t.Helper()
	c := exec.Command("timeout", append([]string{"30", "xdotool"}, args...)...)
	c.Env = w.env
	out, err := c.CombinedOutput()
	require.NoError(w.t, err, "xdotool %v: %s", args, out)
	return string(out)
}

// keys presses keys one after the other.
func (w *window) keys(names ...string) {
	w.t.Helper()
	w.tool(append([]string{"key", "--delay", "20"}, names...)...)
}

// text types a text without any delay between its characters. Enter, which
// stands for a line feed, has xdotool's usual delay: GLFW drops a key that comes
// again within a millisecond, which no hand and no caliper does.
func (w *window) text(s string) {
	w.t.Helper()
	var script strings.Builder
	for line := range strings.Lines(s) {
		word, entered := strings.CutSuffix(line, "\n")
		if word != "" {
			fmt.Fprintf(&script, "type --delay 0 -- '%s'\n", word)
		}
		if entered {
			script.WriteString("key Return\n")
		}
	}
	c := exec.Command("timeout", "60", "xdotool", "-")
	c.Env, c.Stdin = w.env, strings.NewReader(script.String())
	out, err := c.CombinedOutput()
	require.NoError(w.t, err, "xdotool: %s", out)
}

// state asks the window for its visible state.
func (w *window) state() state {
	w.t.Helper()
	file := w.ready + ".json"
	_ = os.Remove(file)
	require.NoError(w.t, w.cmd.Process.Signal(syscall.SIGUSR1))
	w.until("the state", 20*time.Second, func() bool { return exists(file) })
	data, err := os.ReadFile(file)
	require.NoError(w.t, err)
	var s state
	require.NoError(w.t, json.Unmarshal(data, &s))
	return s
}

// wait asks for the state until it is as wanted.
func (w *window) wait(what string, ok func(state) bool) state {
	w.t.Helper()
	var s state
	w.until(what, 40*time.Second, func() bool {
		s = w.state()
		return ok(s)
	})
	return s
}

// until waits for a condition; where it does not come true the test ends with
// what the program had to say.
func (w *window) until(what string, limit time.Duration, ok func() bool) {
	w.t.Helper()
	for end := time.Now().Add(limit); !ok(); time.Sleep(50 * time.Millisecond) {
		if time.Now().After(end) {
			w.shot("failed")
			log, _ := os.ReadFile(w.log.Name())
			w.t.Fatalf("%s did not come within %v. The program says:\n%s", what, limit, log)
		}
	}
}

// resize gives the window a size.
func (w *window) resize(width, height int) {
	w.tool("windowsize", "--sync", w.id, strconv.Itoa(width), strconv.Itoa(height))
	time.Sleep(300 * time.Millisecond)
}

// shots is the folder for pictures.
func (s *screen) shots() string {
	if dir := os.Getenv("PANEWRIGHT_SHOTS"); dir != "" {
		return dir
	}
	return filepath.Join(filepath.Dir(s.program), "shots")
}

// shot saves a picture of the window into the folder for pictures, where the
// tool for it is installed.
func (w *window) shot(name string) {
	dir := w.shots()
	if os.MkdirAll(dir, 0o755) != nil {
		return
	}
	c := exec.Command("import", "-window", w.id, filepath.Join(dir, name+".png"))
	c.Env = w.env
	if out, err := c.CombinedOutput(); err != nil {
		w.t.Logf("no picture %s: %v %s", name, err, out)
	}
}

// drag presses at one point of the window, moves to another and lets go.
func (w *window) drag(x0, y0, x1, y1 float64) {
	w.t.Helper()
	w.move(x0, y0)
	w.tool("mousedown", "1")
	const steps = 8
	for i := 1; i <= steps; i++ {
		f := float64(i) / steps
		w.move(x0+f*(x1-x0), y0+f*(y1-y0))
	}
	w.tool("mouseup", "1")
}

func (w *window) move(x, y float64) {
	w.t.Helper()
	w.tool("mousemove", "--window", w.id, fmt.Sprintf("%.0f", x), fmt.Sprintf("%.0f", y))
	time.Sleep(60 * time.Millisecond)
}

// click presses the middle of an object of the window.
func (w *window) click(at [4]float64) {
	w.t.Helper()
	w.move(at[0]+at[2]/2, at[1]+at[3]/2)
	w.tool("click", "1")
}

func exists(path string) bool {
	_, err := os.Stat(path)
	return err == nil
}
