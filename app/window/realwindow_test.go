//go:build linux && !ci

package window

import (
	"bufio"
	"bytes"
	"context"
	"fmt"
	"image"
	"image/color"
	_ "image/png"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/hpinc/go3mf"
	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/assets"
	"kilnpoise/mesh"
	"kilnpoise/mesh/meshtest"
	"kilnpoise/orient"
	"kilnpoise/orient/mark"
	"kilnpoise/orient/process"
	"kilnpoise/orient/support"
)

// screen is a virtual display with the program's window on it.
type screen struct {
	t       *testing.T
	display string
	window  string
	program *exec.Cmd
	errors  *bytes.Buffer
	home    string // the program's
	exited  chan error
}

const screenWidth, screenHeight = 1280, 800

// needTools skips where the tools for a virtual display are missing, or fails
// where everything has to be tested.
func needTools(t *testing.T) {
	t.Helper()
	for _, tool := range []string{"Xvfb", "xdotool", "import", "go"} {
		if _, err := exec.LookPath(tool); err != nil {
			if os.Getenv("KILNPOISE_REQUIRE_ALL") != "" {
				t.Fatalf("%s is missing; run .ci/setup", tool)
			}
			t.Skipf("%s is missing; run .ci/setup to test the real window", tool)
		}
	}
}

// newScreen starts a virtual display on the first free number, with further options.
func newScreen(t *testing.T, options ...string) *screen {
	t.Helper()
	read, write, err := os.Pipe()
	if err != nil {
		t.Fatal(err)
	}
	size := fmt.Sprintf("%dx%dx24", screenWidth, screenHeight)
	// -noreset: otherwise the display starts anew whenever its last client goes,
	// and a program that opens it just then is refused.
	server := exec.Command("Xvfb", append([]string{"-displayfd", "3", "-screen", "0", size, "-nolisten", "tcp", "-noreset"}, options...)...)
	server.ExtraFiles = []*os.File{write}
	if err := server.Start(); err != nil {
		t.Fatal(err)
	}
	write.Close()
	t.Cleanup(func() {
		_ = server.Process.Kill()
		_ = server.Wait()
	})
	// The number comes once the display is ready, and its end of line apart: who
	// hangs up before that kills the server.
	number, err := bufio.NewReader(read).ReadString('\n')
	read.Close()
	if err != nil {
		t.Fatalf("the virtual display did not start: %v", err)
	}
	return &screen{t: t, display: ":" + strings.TrimSpace(number)}
}

// start builds and starts the program with a part.
func (s *screen) start(args ...string) {
	s.t.Helper()
	bin := filepath.Join(s.t.TempDir(), "kilnpoise")
	if out, err := exec.Command("go", "build", "-o", bin, "kilnpoise/app").CombinedOutput(); err != nil {
		s.t.Fatalf("go build: %v\n%s", err, out)
	}
	s.home = s.t.TempDir()
	s.errors = &bytes.Buffer{}
	s.program = exec.Command(bin, args...)
	s.program.Env = append(os.Environ(), "DISPLAY="+s.display, "HOME="+s.home, "XDG_CONFIG_HOME="+s.home, "XDG_STATE_HOME="+s.home,
		"LC_ALL=C", "FYNE_THEME=light", "FYNE_SCALE=1", "WAYLAND_DISPLAY=")
	s.program.Stderr = s.errors
	if err := s.program.Start(); err != nil {
		s.t.Fatal(err)
	}
	s.exited = make(chan error, 1)
	go func() { s.exited <- s.program.Wait() }()
	s.t.Cleanup(func() { _ = s.program.Process.Kill() })
}

// tool runs a command on the display and gives what it prints.
func (s *screen) tool(name string, args ...string) (string, error) {
	c := exec.Command(name, args...)
	c.Env = append(os.Environ(), "DISPLAY="+s.display)
	out, err := c.Output()
	return strings.TrimSpace(string(out)), err
}

// do runs xdotool and expects it to work.
func (s *screen) do(args ...string) {
	s.t.Helper()
	if out, err := s.tool("xdotool", args...); err != nil {
		s.t.Fatalf("xdotool %q: %v %s", args, err, out)
	}
	time.Sleep(300 * time.Millisecond) // as fast as a quick hand
}

// until waits for something to come true, and shows what the program said when
// it does not.
func (s *screen) until(what string, ok func() bool) {
	s.t.Helper()
	ctx, cancel := context.WithTimeout(s.t.Context(), 3*time.Minute)
	defer cancel()
	for !ok() {
		select {
		case err := <-s.exited:
			s.t.Fatalf("waited for %s; the program ended (%v) and said:\n%s", what, err, s.errors)
		default:
		}
		if ctx.Err() != nil {
			title, _ := s.tool("xdotool", "getwindowname", s.window)
			s.t.Fatalf("waited in vain for %s; title %q; the program said:\n%s", what, title, s.errors)
		}
		time.Sleep(100 * time.Millisecond)
	}
}

// waitTitle waits until the title of the window is that.
func (s *screen) waitTitle(want string) {
	s.t.Helper()
	s.until("the title "+want, func() bool {
		if s.window == "" {
			ids, err := s.tool("xdotool", "search", "--name", "^Kilnpoise")
			if err != nil || ids == "" {
				return false
			}
			s.window = strings.Fields(ids)[0]
		}
		title, err := s.tool("xdotool", "getwindowname", s.window)
		return err == nil && title == want
	})
}

// photo takes a picture of the window.
func (s *screen) photo(name string) image.Image {
	s.t.Helper()
	path := filepath.Join(s.t.TempDir(), name+".png")
	if out, err := s.tool("import", "-window", s.window, path); err != nil {
		s.t.Fatalf("import: %v %s", err, out)
	}
	if keep := os.Getenv("KILNPOISE_PHOTOS"); keep != "" {
		if data, err := os.ReadFile(path); err == nil {
			_ = os.WriteFile(filepath.Join(keep, name+".png"), data, 0o644)
		}
	}
	f, err := os.Open(path)
	if err != nil {
		s.t.Fatal(err)
	}
	defer f.Close()
	img, _, err := image.Decode(f)
	if err != nil {
		s.t.Fatal(err)
	}
	return img
}

// colors counts the different colours in a part of a picture.
func colors(img image.Image, r image.Rectangle) int {
	seen := map[color.Color]bool{}
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			seen[img.At(x, y)] = true
		}
	}
	return len(seen)
}

// differing counts the pixels that differ between two pictures.
func differing(a, b image.Image, r image.Rectangle) int {
	n := 0
	for y := r.Min.Y; y < r.Max.Y; y++ {
		for x := r.Min.X; x < r.Max.X; x++ {
			if a.At(x, y) != b.At(x, y) {
				n++
			}
		}
	}
	return n
}

// The regions of the window at 1280 x 800.
var (
	plateView  = image.Rect(30, 170, 390, 420)
	setterView = image.Rect(430, 170, 790, 420)
	cards      = image.Rect(20, 600, 780, 760)
	sideColumn = image.Rect(830, 150, 1240, 720)
)

// Where the display has no OpenGL, or one that is too old, the program ends with one
// line and does not live on without a window.
func TestNoOpenGLIsOneLine(t *testing.T) {
	needTools(t)
	for name, s := range map[string]*screen{"none": newScreen(t, "-extension", "GLX"), "version 1.0": newScreen(t)} {
		if name != "none" {
			t.Setenv("MESA_GL_VERSION_OVERRIDE", "1.0")
		}
		s.start()
		select {
		case err := <-s.exited:
			if code := s.program.ProcessState.ExitCode(); code != 1 || strings.Count(s.errors.String(), "\n") != 1 || !strings.Contains(s.errors.String(), "OpenGL") {
				t.Errorf("%s: it ends with code %d (%v) and says %q", name, code, err, s.errors)
			}
		case <-time.After(time.Minute):
			t.Fatalf("%s: it lives on, and has said %q", name, s.errors)
		}
	}
}

// A person opens a part from the command line, waits for the advice, picks the
// second candidate by keyboard, turns the part with the mouse, and leaves with
// the mesh and the sheet.
func TestRealWindow(t *testing.T) {
	if testing.Short() {
		t.Skip("short")
	}
	needTools(t)
	part := stlFile(t, "tee.stl", tee())
	s := newScreen(t)
	s.start(part)
	s.waitTitle("Kilnpoise - tee - fired")
	s.do("windowmove", s.window, "0", "0")
	s.do("windowfocus", s.window)
	s.do("mousemove", "640", "790")

	before := s.settled("opened", plateView)
	for name, r := range map[string]image.Rectangle{"plate": plateView, "setter": setterView, "cards": cards, "reasons": sideColumn} {
		if n := colors(before, r); n < 20 {
			t.Errorf("the %s shows %d colours: it is blank", name, n)
		}
	}
	s.do("key", "Right")
	s.until("the second candidate", func() bool {
		return differing(before, s.photo("second"), plateView) > 500
	})
	turned := s.settled("second", plateView)
	s.do("mousemove", "200", "300", "mousedown", "1")
	s.do("mousemove", "260", "330")
	s.do("mousemove", "300", "340", "mouseup", "1")
	s.until("the part to turn", func() bool {
		return differing(turned, s.photo("turned"), plateView) > 500 && differing(turned, s.photo("turned"), setterView) > 500
	})

	out := t.TempDir()
	closed := s.settled("turned", sideColumn)
	s.do("key", "ctrl+e")
	s.until("the hand-over panel", func() bool {
		return differing(closed, s.photo("hand-over"), sideColumn) > 2000
	})
	s.settled("hand-over", sideColumn) // it slides in, and takes keys once it is there
	s.do("key", "ctrl+a")
	s.do("type", "--delay", "60", out)
	s.do("key", "Return")
	sheet := filepath.Join(out, "tee-sheet.pdf")
	s.until("the sheet", func() bool { return exists(sheet) })
	s.photo("handed-over")

	want := secondCandidate(t, part)
	for _, name := range []string{"tee-green.stl", "tee-green.3mf"} {
		checkGreen(t, filepath.Join(out, name), want)
	}
	checkPDF(t, sheet)

	s.do("key", "ctrl+q")
	select {
	case err := <-s.exited:
		if err != nil {
			t.Errorf("the program ended with %v", err)
		}
	case <-time.After(20 * time.Second):
		t.Error("the program does not end")
	}
	if said := s.errors.String(); strings.Contains(said, "Fyne error") || strings.Contains(said, "call thread") {
		t.Errorf("the program said:\n%s", said)
	}
	if theirs, _ := filepath.Glob(filepath.Join(s.home, "fyne", "*", "*")); len(theirs) > 0 {
		t.Errorf("the toolkit keeps %q", theirs)
	}
}

// settled waits until a region stands still, and gives the picture.
func (s *screen) settled(name string, r image.Rectangle) image.Image {
	s.t.Helper()
	last := s.photo(name)
	s.until("the picture to stand still", func() bool {
		time.Sleep(700 * time.Millisecond)
		next := s.photo(name)
		still := colors(next, r) > 20 && differing(last, next, r) == 0
		last = next
		return still
	})
	return last
}

// cross is four arms of which one cannot tell which is which, until one is marked.
func cross() *mesh.Mesh {
	thirds := []float64{0, 6, 12, 18}
	return meshtest.Blocks(thirds, thirds, []float64{0, 15}, func(i, j, _ int) bool { return i == 1 || j == 1 })
}

// armEnd is where the end of the arm along +X is seen on the plate while the marks
// are open.
const armEndX, armEndY = "556", "310"

// A person marks the end of an arm as the foot it should rest on, sees the ranking
// change, takes the candidate that stands on it, and leaves with its supports; a
// general library finds them in the 3MF.
func TestRealWindowMarksAndPlan(t *testing.T) {
	if testing.Short() {
		t.Skip("short")
	}
	needTools(t)
	part := stlFile(t, "cross.stl", cross())
	marked := candidatesOf(t, part, func(m *mesh.Mesh) mark.Marks {
		s := mark.NewSurface(m)
		return mark.Marks{Faces: []mark.Face{{Kind: mark.Foot, Facets: s.Region(s.Nearest(r3.Vec{X: 18, Y: 9, Z: 7}, r3.Vec{X: 1}), 1)}}}
	})
	plain := candidatesOf(t, part, func(*mesh.Mesh) mark.Marks { return mark.Marks{} })
	if len(marked) == len(plain) && marked[2].Name == plain[2].Name {
		t.Fatal("the mark does not change the ranking of this part: the test would see nothing")
	}
	want := &marked[1]
	if up := want.Pose.Up(); up.X > -0.999 {
		t.Fatalf("second with the mark is up %v, want the one that stands on it", up)
	}

	s := newScreen(t)
	s.start(part)
	s.waitTitle("Kilnpoise - cross - fired")
	s.do("windowmove", s.window, "0", "0")
	s.do("windowfocus", s.window)
	s.settled("unmarked", allCards)
	s.do("key", "m")
	before := s.settled("marks", markedCards)
	s.do("key", "Down", "Down") // the preferred foot
	s.do("mousemove", armEndX, armEndY, "click", "1")
	s.settled("picked", markedCards)
	s.do("key", "k")
	s.until("another ranking", func() bool { return differing(before, s.photo("ranked"), markedCards) > 500 })
	s.waitTitle("Kilnpoise - cross - fired")
	s.do("key", "Escape", "Escape")
	s.settled("marked", markedCards)
	s.do("mousemove", "640", "790")
	s.do("key", "2")

	out := t.TempDir()
	s.settled("second", sideColumn)
	s.do("key", "ctrl+e")
	s.settled("hand-over", sideColumn)
	s.do("key", "ctrl+a")
	s.do("type", "--delay", "60", out)
	s.do("key", "Tab", "Tab", "Tab", "Tab", "Tab", "Tab") // folder, choose, name, size, 3MF, STL: now the bodies
	s.do("key", "space")
	s.do("key", "ctrl+g")
	path := filepath.Join(out, "cross-green.3mf")
	s.until("the 3MF", func() bool { return exists(path) })
	s.photo("bodies")
	checkBodies(t, path, want)
	s.do("key", "ctrl+q")
	select {
	case <-s.exited:
	case <-time.After(20 * time.Second):
		t.Error("the program does not end")
	}
}

// allCards are the cards under both machines, markedCards those beside the open brief.
var (
	allCards    = image.Rect(20, 560, 800, 780)
	markedCards = image.Rect(420, 590, 800, 760)
)

// checkBodies reads a 3MF with a general library: the part stands at its green size,
// with one object more for each region that is printed.
func checkBodies(t *testing.T, path string, want *orient.Candidate) {
	t.Helper()
	r, err := go3mf.OpenReader(path)
	if err != nil {
		t.Fatal(err)
	}
	defer r.Close()
	var model go3mf.Model
	if err := r.Decode(&model); err != nil {
		t.Fatal(err)
	}
	printed := 0
	for _, item := range want.Plan.Items {
		if item.Prints || item.Advice == support.SetterBlock {
			printed++
		}
	}
	if printed == 0 || len(model.Build.Items) < 1+printed {
		t.Errorf("%d objects in the 3MF for a part with %d printed regions", len(model.Build.Items), printed)
	}
	var size [3]float32
	low, high := model.Resources.Objects[0].Mesh.Vertices.Vertex[0], model.Resources.Objects[0].Mesh.Vertices.Vertex[0]
	for _, v := range model.Resources.Objects[0].Mesh.Vertices.Vertex {
		for i := range v {
			low[i], high[i] = min(low[i], v[i]), max(high[i], v[i])
		}
	}
	for i := range size {
		size[i] = high[i] - low[i]
	}
	const tol = 1e-3
	if d := r3.Norm(r3.Sub(r3.Vec{X: float64(size[0]), Y: float64(size[1]), Z: float64(size[2])}, want.GreenSize)); d > tol {
		t.Errorf("the part in the 3MF measures %v, want %v", size, want.GreenSize)
	}
}

// secondCandidate works out, without the window, what the second candidate is.
func secondCandidate(t *testing.T, path string) *orient.Candidate {
	t.Helper()
	return &candidatesOf(t, path, func(*mesh.Mesh) mark.Marks { return mark.Marks{} })[1]
}

// candidatesOf works out, without the window, the candidates of a part with marks.
func candidatesOf(t *testing.T, path string, marks func(*mesh.Mesh) mark.Marks) []orient.Candidate {
	t.Helper()
	f, err := mesh.ReadFile(t.Context(), path, mesh.ReadOptions{})
	if err != nil {
		t.Fatal(err)
	}
	p, err := f.Part(t.Context())
	if err != nil {
		t.Fatal(err)
	}
	library := process.OpenLibrary(assets.Records(), "")
	var b orient.Brief
	b.Priorities = orient.DefaultPriorities()
	if b.Material, err = library.Materials.Get(assets.DefaultMaterial); err != nil {
		t.Fatal(err)
	}
	if b.Printer, err = library.Printers.Get(assets.DefaultPrinter); err != nil {
		t.Fatal(err)
	}
	if b.Furnace, err = library.Furnaces.Get(assets.DefaultFurnace); err != nil {
		t.Fatal(err)
	}
	b.Marks = marks(p.Mesh)
	a, err := orient.Advise(t.Context(), p, b, nil)
	if err != nil {
		t.Fatal(err)
	}
	if a, err = a.Fire(t.Context(), orient.FiringOptions{}, nil); err != nil {
		t.Fatal(err)
	}
	if a, err = a.PlanSupports(t.Context(), nil); err != nil {
		t.Fatal(err)
	}
	return a.Candidates
}

// checkGreen reads a written mesh back: it has the green size and stands where
// the contract says.
func checkGreen(t *testing.T, path string, want *orient.Candidate) {
	t.Helper()
	f, err := mesh.ReadFile(t.Context(), path, mesh.ReadOptions{})
	if err != nil {
		t.Error(err)
		return
	}
	p, err := f.Part(t.Context())
	if err != nil {
		t.Error(err)
		return
	}
	b := p.Mesh.Bounds()
	const tol = 1e-3 // float32 at some tens of millimetres
	if d := r3.Norm(r3.Sub(b.Size(), want.GreenSize)); d > tol {
		t.Errorf("%s: size %v, want %v", filepath.Base(path), b.Size(), want.GreenSize)
	}
	c := b.Center()
	if b.Min.Z > tol || b.Min.Z < -tol || c.X > tol || c.X < -tol || c.Y > tol || c.Y < -tol {
		t.Errorf("%s: does not stand on z = 0 in the middle: %v", filepath.Base(path), b)
	}
	if !p.Health.Watertight {
		t.Errorf("%s: not closed", filepath.Base(path))
	}
}

// checkPDF checks that a sheet was written whole.
func checkPDF(t *testing.T, path string) {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Error(err)
		return
	}
	if !bytes.HasPrefix(data, []byte("%PDF-")) || !bytes.Contains(data[len(data)-16:], []byte("%%EOF")) {
		t.Errorf("%s is no whole PDF", filepath.Base(path))
	}
}
