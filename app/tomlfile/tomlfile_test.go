package tomlfile_test

import (
	"strings"
	"testing"

	"kilnpoise/app/tomlfile"
)

// target holds one of each kind that files have.
type target struct {
	Name    string             `toml:"name"`
	Count   int                `toml:"count"`
	Triple  *[3]float64        `toml:"triple"`
	Matrix  [2][3]float64      `toml:"matrix"`
	Size    *float64           `toml:"size"`
	Weights map[string]float64 `toml:"weights"`
	Faces   []face             `toml:"face"`
	Date    any                `toml:"date"`
}

type face struct {
	At [3]float64 `toml:"at"`
}

func TestDecode(t *testing.T) {
	tests := []struct{ text, want string }{ // "" where it is right
		{"name = \"a\"\ncount = 3\ntriple = [1, 2.5, 3]\nmatrix = [[1,2,3],[4,5,6]]\nsize = 2\ndate = 2026-03-02\n[weights]\na = 1\n[[face]]\nat = [0, 0, 1]\n", ""},
		{"\ufeffname = \"a\"\n", ""},
		{"", ""},
		{"triple = [1, 2]", "triple has 2 values; give 3"},
		{"Triple = [1, 2]", "Triple has 2 values; give 3"},
		{"triple = []", "triple has 0 values; give 3"},
		{"triple = [1, 2, 3, 4]", "triple has 4 values; give 3"},
		{"matrix = [[1,2,3]]", "matrix has 1 values; give 2"},
		{"matrix = [[1,2,3],[4,5]]", "matrix no. 2 has 2 values; give 3"},
		{"[[face]]\nat = [0,0,1]\n[[face]]\nat = [0,1]", "face no. 2, at has 2 values; give 3"},
		{"size = nan", "size holds NaN"},
		{"size = -inf", "size holds -Inf"},
		{"triple = [1, inf, 3]", "triple no. 2 holds +Inf"},
		{"[weights]\na = nan", "weights, a holds NaN"},
		{"[[face]]\nat = [nan, 0, 0]", "face no. 1, at no. 1 holds NaN"},
		{"name = 5", "line 1"},
		{"count = 1.5", "line 1"},
		{"name = \"a\"\ncount = \"b\"", "line 2"},
		{"size = 1e999", "size"},
		{"other = 1", "line 1: the key other is not known; see the list"},
		{strings.Repeat("k", 5000) + " = 1", "is not known"},
		{"name = [", "line 1"},
		{"name = \"" + strings.Repeat("a", 5000), "line 1"},
		{"count = 99999999999999999999", ""},
	}
	for _, tt := range tests {
		var into target
		err := tomlfile.Decode([]byte(tt.text), &into, "see the list")
		if tt.want == "" && !strings.HasPrefix(tt.text, "count = 9") {
			if err != nil {
				t.Errorf("%.40q: %v", tt.text, err)
			}
			continue
		}
		if err == nil {
			t.Errorf("%.40q is taken: %+v", tt.text, into)
			continue
		}
		text := err.Error()
		if !strings.Contains(text, tt.want) || len(text) > 600 || strings.Contains(text, "\n") {
			t.Errorf("%.40q: error %q, want one line with %q", tt.text, text, tt.want)
		}
		for _, word := range []string{"float64", "struct", "strconv", "tomlfile.", "toml:", "[]interface"} {
			if strings.Contains(text, word) {
				t.Errorf("%.40q: error %q speaks of the language", tt.text, text)
			}
		}
	}
}
