package render

import (
	"slices"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"
)

func TestWrap(t *testing.T) {
	p, err := newPress(A4)
	if err != nil {
		t.Fatal(err)
	}
	f := faceBody()
	ten := p.width("0123456789", f) + 0.01 // digits are all of one width
	for _, c := range []struct {
		name, in string
		most     int
		want     []string
	}{
		{"fits", "01234 678", 0, []string{"01234 678"}},
		{"breaks at spaces", "012345 012345  01\n34", 0, []string{"012345", "012345 01", "34"}},
		{"breaks long words", "0123456789012345", 0, []string{"0123456789", "012345"}},
		{"keeps number and unit together", "0123456 12\u00a034", 0, []string{"0123456", "12\u00a034"}},
		{"breaks between letters of several bytes", strings.Repeat("ü", 30), 0, nil},
		{"ends in an ellipsis", "01234567 01234567 01234567", 2, []string{"01234567", "01234567…"}},
		{"nothing", "  ", 0, nil},
	} {
		got := p.wrap(c.in, ten, f, c.most)
		if c.want != nil && !slices.Equal(got, c.want) {
			t.Errorf("%s: %q, want %q", c.name, got, c.want)
		}
		for _, l := range got {
			if !utf8.ValidString(l) || p.width(l, f) > ten {
				t.Errorf("%s: line %q is broken or too long", c.name, l)
			}
		}
	}
}

// Whatever is wrapped, no letter is lost and no line too long.
func TestWrapLosesNothing(t *testing.T) {
	p, err := newPress(Letter)
	if err != nil {
		t.Fatal(err)
	}
	letters := func(s string) string { return strings.Join(strings.Fields(s), "") }
	rapid.Check(t, func(t *rapid.T) {
		in := rapid.StringMatching(`[a-zé0-9 ]{0,80}`).Draw(t, "text")
		lines := p.wrap(in, rapid.Float64Range(4, 60).Draw(t, "width"), faceBody(), 0)
		if got := letters(strings.Join(lines, " ")); got != letters(in) {
			t.Fatalf("%q became %q", in, lines)
		}
	})
}
