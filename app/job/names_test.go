package job_test

import (
	"io/fs"
	"path/filepath"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"kilnpoise/app/job"
)

func TestCleanName(t *testing.T) {
	long := strings.Repeat("ü", 150)
	for in, want := range map[string]string{
		"clevis.stl":               "clevis.stl",
		"Rod clevis (2), left.3MF": "Rod clevis (2), left.3MF",
		"/home/a/part.obj":         "part.obj",
		`C:\parts\part.obj`:        "part.obj",
		"../../x.stl":              "x.stl",
		"a:b?.stl":                 "a_b_.stl",
		"line\nbreak.stl":          "line_break.stl",
		".stl":                     "stl",
		"..":                       "part",
		"":                         "part",
		"con.stl":                  "_con.stl",
		"COM³.stl":                 "_COM³.stl",
		"conin$.stl":               "_conin$.stl",
		"LPT1":                     "_LPT1",
		"console.stl":              "console.stl",
		"\xff.stl":                 "_.stl",
		"abc\u202elts.stl":         "abc_lts.stl", // written from right to left it would look like another
		long + ".stl":              strings.Repeat("ü", 98) + ".stl",
	} {
		if got := job.CleanName(in); got != want {
			t.Errorf("CleanName(%q) = %q, want %q", in, got, want)
		}
	}
}

func TestCleanNameIsAFileName(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.OneOf(oddText(), rapid.StringOf(rapid.SampledFrom([]rune(`./\:con1 é`))), rapid.StringOfN(rapid.Rune(), 180, 260, -1)).Draw(t, "name")
		got := job.CleanName(in)
		if again := job.CleanName(got); again != got {
			t.Fatalf("%q is cleaned to %q, and that to %q", in, got, again)
		}
		if got == "" || len(got) > 200 || !utf8.ValidString(got) || filepath.Base(got) != got || !fs.ValidPath(got) || !filepath.IsLocal(got) {
			t.Fatalf("%q is cleaned to %q", in, got)
		}
	})
}
