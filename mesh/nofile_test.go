//go:build unix

package mesh

import (
	"context"
	"io"
	"net"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
)

// TestWhatIsNoFile gives the reader what is no file of a part, or only looks like
// one. Each is refused at once in a sentence; none is waited for.
func TestWhatIsNoFile(t *testing.T) {
	dir := t.TempDir()
	at := func(name string) string { return filepath.Join(dir, name) }
	must := func(err error) {
		t.Helper()
		if err != nil {
			t.Fatal(err)
		}
	}
	sparse := func(name string, size int64) string {
		must(os.WriteFile(at(name), nil, 0o600))
		must(os.Truncate(at(name), size))
		return at(name)
	}
	must(os.Mkdir(at("folder.stl"), 0o700))
	must(syscall.Mkfifo(at("pipe.stl"), 0o600))
	must(os.Symlink(at("folder.stl"), at("link.stl")))
	must(os.Symlink(at("gone.stl"), at("nowhere.stl")))
	must(os.Symlink(at("ring.stl"), at("ring.stl")))
	must(os.Symlink(at("pipe.stl"), at("to a pipe.stl")))
	socket, err := net.Listen("unix", at("socket.stl"))
	must(err)
	defer socket.Close()
	tests := []struct{ name, path, want string }{
		{"nothing", "", "cannot be opened"},
		{"a folder", at("folder.stl"), "is not a file"},
		{"a folder with a slash", at("folder.stl") + "/", "is not a file"},
		{"a link to a folder", at("link.stl"), "is not a file"},
		{"a link to nowhere", at("nowhere.stl"), "cannot be opened"},
		{"a link to itself", at("ring.stl"), "cannot be opened"},
		{"a pipe", at("pipe.stl"), "is not a file"},
		{"a link to a pipe", at("to a pipe.stl"), "is not a file"},
		{"a socket", at("socket.stl"), "is not a file"},
		{"a device without end", "/dev/zero", "is not a file"},
		{"a device without anything", "/dev/null", "is not a file"},
		{"standard input", "/dev/stdin", ""},
		{"below a file", at("folder.stl/pipe.stl/a.stl"), "cannot be opened"},
		{"a name that is too long", at(strings.Repeat("long", 100) + ".stl"), "cannot be opened"},
		{"a name with a zero", at("a\x00b.stl"), "cannot be opened"},
		{"empty STL", sparse("empty.stl", 0), "is empty"},
		{"empty OBJ", sparse("empty.obj", 0), "is empty"},
		{"empty 3MF", sparse("empty.3mf", 0), "is empty"},
		{"one byte", sparse("one.stl", 1), "too few for an STL file"},
		{"a header alone", sparse("header.stl", stlHeaderSize), "no triangles"},
		{"sparse STL", sparse("sparse.stl", 32<<20), ""},
		{"sparse STL of a terabyte", sparse("terabyte.stl", 1<<40), "more than 20 million facets"},
		{"sparse OBJ of a terabyte", sparse("terabyte.obj", 1<<40), "longer than 4 megabytes"},
		{"sparse 3MF of a terabyte", sparse("terabyte.3mf", 1<<40), "not a whole zip"},
		{"sparse, of no kind", sparse("terabyte.dat", 1<<40), "neither STL, 3MF nor OBJ"},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			f, err := ReadFile(context.Background(), tt.path, ReadOptions{})
			if err == nil {
				_, err = f.Part(context.Background())
			}
			if err == nil {
				t.Fatal("read")
			}
			if text := err.Error(); !strings.Contains(text, tt.want) || !strings.Contains(text, ";") || isPrintable(text) != nil || strings.Contains(text, dir) {
				t.Errorf("error %q, want %q", text, tt.want)
			}
		})
	}
	t.Logf("%d paths", len(tests))
}

// changing is a file that another program writes anew while it is read.
type changing struct {
	data []byte
	left int // reads until it is as long as less
	less int64
}

func (c *changing) ReadAt(b []byte, off int64) (int, error) {
	if c.left--; c.left < 0 {
		c.data = c.data[:min(int64(len(c.data)), c.less)]
	}
	if off >= int64(len(c.data)) {
		return 0, io.EOF
	}
	n := copy(b, c.data[off:])
	if n < len(b) {
		return n, io.EOF
	}
	return n, nil
}

// TestFileThatShrinks has the file become shorter at each of the first reads.
func TestFileThatShrinks(t *testing.T) {
	ring := torusShape(30, 8, 60, 40)
	files := map[string][]byte{"a.stl": stlBytes(t, ring), "text.stl": []byte(textSTL(ring)), "a.obj": objOf(ring), "a.3mf": written(t, "a.3mf", ring)}
	tried := 0
	for name, data := range files {
		for left := range 12 {
			tried++
			whole := &changing{data: data, left: left, less: int64(len(data) / 3)}
			f, err := Read(context.Background(), name, whole, int64(len(data)), ReadOptions{})
			if err == nil && whole.left < 0 {
				t.Errorf("%s, shorter at read %d: read, with notes %q", name, left, f.Notes)
			}
			if err != nil {
				checkSentence(t, name, err)
			}
		}
	}
	t.Logf("%d files", tried)
}
