package window

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
		{"no-break spaces hold", "12" + nbsp + "mm wide", 6, []string{"12" + nbsp + "mm", "wide"}},
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
		if got := clip(tc.text, tc.width, byLetter); got != tc.want {
			t.Errorf("clip(%q, %v) = %q, want %q", tc.text, tc.width, got, tc.want)
		}
	}
}
