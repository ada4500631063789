package mesh

import (
	"math"
	"testing"
)

func TestParseUnit(t *testing.T) {
	tests := []struct {
		text string
		want Unit
		mm   float64
	}{
		{"", "", 1},
		{"mm", Millimetre, 1},
		{" Millimeter ", Millimetre, 1},
		{"CM", Centimetre, 10},
		{"metres", Metre, 1000},
		{"in", Inch, 25.4},
		{"Foot", Foot, 304.8},
		{"µm", Micron, 0.001},
		{"micron", Micron, 0.001},
	}
	for _, tt := range tests {
		got, err := ParseUnit(tt.text)
		if err != nil || got != tt.want || got.MM() != tt.mm {
			t.Errorf("ParseUnit(%q) = %q, %v of %v mm; want %q of %v", tt.text, got, err, got.MM(), tt.want, tt.mm)
		}
	}
	if u, err := ParseUnit("furlong"); err == nil {
		t.Errorf("ParseUnit(furlong) = %q", u)
	}
	if v := Unit("furlong").MM(); !math.IsNaN(v) {
		t.Errorf("a furlong is %v mm", v)
	}
}

func TestSuggestUnit(t *testing.T) {
	tests := []struct {
		side float64
		want Unit
	}{
		{2, ""}, {50, ""}, {1000, ""}, // plausible as they are
		{0.01, Metre}, {0.3, Metre}, {1, Metre},
		{1.5, Inch}, // 1.5 m is too large, 38 mm is a part
		{2001, Micron}, {250_000, Micron},
		{0.001, ""}, {1500, ""}, {5e6, ""}, {0, ""}, // nothing helps
	}
	for _, tt := range tests {
		if got := suggestUnit(tt.side); got != tt.want {
			t.Errorf("suggestUnit(%v) = %q, want %q", tt.side, got, tt.want)
		}
	}
}
