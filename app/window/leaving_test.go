package window

import (
	"kilnpoise/app/window/kit"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"fyne.io/fyne/v2"
)

func TestHandOverWritesEverything(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.beginHandOver()
	if !b.page.handing || b.hand.folder.Text != filepath.Dir(b.desk.from.path) || b.hand.name.Text != "tee" {
		t.Fatalf("folder %q, name %q", b.hand.folder.Text, b.hand.name.Text)
	}
	out := t.TempDir()
	b.hand.folder.SetText(out)
	b.hand.folder.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	b.until("the files", func() bool { return !b.handing.running() })
	for _, name := range []string{"tee-green.3mf", "tee-green.stl", "tee-sheet.pdf"} {
		if !exists(filepath.Join(out, name)) {
			t.Errorf("%s is missing", name)
		}
	}
	if n := len(b.hand.report.Objects); n != 4 {
		t.Errorf("%d lines tell what was written, want 4", n)
	}
	b.hand.box.Refresh()
	b.key(fyne.KeyEscape)
	if b.page.handing {
		t.Error("Esc does not leave the hand-over")
	}
}

func TestFinishedSizeOnlyWhatIsAsked(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	b.beginHandOver()
	out := t.TempDir()
	b.writeFiles(handChoice{folder: out, name: "my/part", stl: true, sintered: true})
	b.until("the file", func() bool { return !b.handing.running() })
	if got := seenIn(t, out); !slices.Equal(got, []string{"my-part-turned.stl"}) {
		t.Errorf("written: %q", got)
	}
	if got := plainSpaces(b.hand.scale.Text); !strings.Contains(got, "X 119.05 %, Y 119.05 %, Z 125.00 %") {
		t.Errorf("scaling = %q", got)
	}
}

func TestHandOverFaultsAreToldAndLoseNothing(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	for _, tc := range []struct{ name, folder, want string }{
		{"no folder", "  ", "No folder is given; type one or choose it"},
		{"not there", filepath.Join(t.TempDir(), "gone"), "make it first, or choose another"},
		{"a file", stlFile(t, "x.stl", tee()), "make it first, or choose another"},
	} {
		t.Run(tc.name, func(t *testing.T) {
			b.writeFiles(handChoice{folder: tc.folder, name: "n", stl: true})
			b.until("the refusal", func() bool { return !b.handing.running() })
			if said := strings.Join(textsOf(b.hand.report), " "); !strings.Contains(said, tc.want) {
				t.Errorf("said: %q, want %q", said, tc.want)
			}
		})
	}
	if b.desk.advice == nil {
		t.Error("the advice is lost")
	}
}

// A computer without a printing system says so, and the sheet stays written.
func TestPrintingWithoutAPrinter(t *testing.T) {
	b := advised(t, "tee.stl", tee())
	t.Setenv("PATH", t.TempDir())
	b.beginHandOver()
	out := t.TempDir()
	b.printSheet(handChoice{folder: out, name: "tee"})
	b.until("the refusal", func() bool { return !b.handing.running() })
	if !exists(filepath.Join(out, "tee-sheet.pdf")) {
		t.Error("the sheet is not written")
	}
	said := textsOf(b.hand.report)
	if !slices.ContainsFunc(said, func(s string) bool { return strings.Contains(s, "no printing system on this computer") }) {
		t.Errorf("said: %q", said)
	}
}

// A printing command that refuses is quoted.
func TestPrintingRefused(t *testing.T) {
	bin := t.TempDir()
	script := "#!/bin/sh\necho 'lp: Error - no default destination available.' >&2\nexit 1\n"
	if err := os.WriteFile(filepath.Join(bin, "lp"), []byte(script), 0o755); err != nil {
		t.Fatal(err)
	}
	t.Setenv("PATH", bin+string(os.PathListSeparator)+os.Getenv("PATH"))
	err := printFile(t.Context(), "sheet.pdf")
	if err == nil || !strings.Contains(err.Error(), "no default destination available") {
		t.Errorf("error = %v", err)
	}
}

// textsOf lists the prose in a container.
func textsOf(c *fyne.Container) []string {
	var out []string
	for _, o := range c.Objects {
		switch o := o.(type) {
		case *kit.Prose:
			out = append(out, o.Text)
		case *fyne.Container:
			out = append(out, textsOf(o)...)
		}
	}
	return out
}
