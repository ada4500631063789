package render

import (
	"testing"

	"codeberg.org/go-fonts/liberation/liberationsansregular"
)

func TestTypecaseShowsWhatItLacks(t *testing.T) {
	c, err := newTypecase(liberationsansregular.TTF)
	if err != nil {
		t.Fatal(err)
	}
	for _, k := range []struct{ in, want string }{
		{"a b", "a b"}, {"Größe 45° × ½ …", "Größe 45° × ½ …"}, {"Ωμβ", "Ωμβ"}, {"a\tb\n", "a b "}, {"部品.stl", "??.stl"}, {"\U0001F600", "?"},
	} {
		if got := c.plain(k.in); got != k.want {
			t.Errorf("plain(%q) = %q, want %q", k.in, got, k.want)
		}
	}
}
