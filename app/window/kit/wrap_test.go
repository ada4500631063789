package kit

import (
	"slices"
	"strings"
	"testing"

	"pgregory.net/rapid"
)

// byLetter measures each letter as one unit.
func byLetter(s string) float32 { return float32(len([]rune(s))) }

func TestWrapText(t *testing.T) {
	for _, tc := range []struct {
		name, text string
		width      float32
		want       []string
	}{
		{"fits", "two words", 20, []string{"two words"}},
		{"breaks at spaces", "two words", 5, []string{"two", "words"}},
		{"keeps line breaks", "a\nb", 20, []string{"a", "b"}},
		{"breaks a word that is too long", "abcdefgh", 3, []string{"abc", "def", "gh"}},
		{"a long word after a short one", "ab cdefgh", 4, []string{"ab", "cdef", "gh"}},
		{"no-break spaces hold", "12" + NBSP + "mm wide", 6, []string{"12" + NBSP + "mm", "wide"}},
		{"no room at all still ends", "abc", 0, []string{"a", "b", "c"}},
	} {
		t.Run(tc.name, func(t *testing.T) {
			if got := wrapText(tc.text, tc.width, byLetter); !slices.Equal(got, tc.want) {
				t.Errorf("wrapText(%q, %v) = %q, want %q", tc.text, tc.width, got, tc.want)
			}
		})
	}
}

// Wrapping never loses a letter and never makes a line wider than asked for,
// unless it is a single letter.
func TestWrapTextProperties(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		text := rapid.StringMatching(`[a-z ]{0,60}`).Draw(t, "text")
		width := float32(rapid.IntRange(1, 30).Draw(t, "width"))
		lines := wrapText(text, width, byLetter)
		if got, want := letters(strings.Join(lines, "")), letters(text); got != want {
			t.Fatalf("letters %q became %q", want, got)
		}
		for _, l := range lines {
			if byLetter(strings.Trim(l, " ")) > width {
				t.Fatalf("line %q is wider than %v", l, width)
			}
		}
	})
}

func letters(s string) string { return strings.ReplaceAll(s, " ", "") }

func TestClip(t *testing.T) {
	for _, tc := range []struct {
		text  string
		width float32
		want  string
	}{
		{"short", 10, "short"},
		{"rather long", 7, "rather…"},
		{"rather long", 8, "rather…"},
		{"x", 0, "…"},
	} {
		if got := Clip(tc.text, tc.width, byLetter); got != tc.want {
			t.Errorf("clip(%q, %v) = %q, want %q", tc.text, tc.width, got, tc.want)
		}
	}
}

// What is asked for to break or cut a text grows with what is shown of it, not with
// the square of its length.
func TestLongTextsAreMeasuredSparingly(t *testing.T) {
	const length = 100_000
	for name, text := range map[string]string{"one word": strings.Repeat("n", length), "words": strings.Repeat("word ", length/5)} {
		measured := 0
		measure := func(s string) float32 {
			measured += len(s)
			return byLetter(s)
		}
		if got := wrapText(text, 40, measure); letters(strings.Join(got, "")) != letters(text) {
			t.Errorf("%s: letters are lost", name)
		}
		if measured > 60*length {
			t.Errorf("%s: %d letters were measured to break %d", name, measured, length)
		}
		measured = 0
		if got := Clip(text, 40, measure); byLetter(got) > 40 || byLetter(got) < 39 {
			t.Errorf("%s: cut to %q", name, got)
		}
		if measured > 2000 {
			t.Errorf("%s: %d letters were measured to cut it", name, measured)
		}
	}
}
