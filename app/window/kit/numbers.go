package kit

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// NBSP keeps a number and its unit, or the thousands of a number, on one line.
const NBSP = "\u00a0"

// Dash stands where there is no number.
const Dash = "–"

// DecimalsFor gives how many decimals show a value of that size with about three
// figures, none after the point from a hundred on.
func DecimalsFor(v float64) int {
	switch v = math.Abs(v); {
	case v >= 99.95:
		return 0
	case v >= 9.995:
		return 1
	default:
		return 2
	}
}

// Fixed writes v with that many decimals and its thousands set apart. NaN and
// infinities give a dash.
func Fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return Dash
	}
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	whole, rest, _ := strings.Cut(text, ".")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "-", whole[1:]
	}
	whole = grouped(whole)
	if strings.Trim(whole+rest, "0"+NBSP) == "" {
		sign = "" // no minus zero
	}
	if rest != "" {
		return sign + whole + "." + rest
	}
	return sign + whole
}

// grouped sets thousands apart from five digits on, as is usual in tables.
func grouped(digits string) string {
	if len(digits) < 5 {
		return digits
	}
	var parts []string
	for len(digits) > 3 {
		parts = append([]string{digits[len(digits)-3:]}, parts...)
		digits = digits[:len(digits)-3]
	}
	return strings.Join(append([]string{digits}, parts...), NBSP)
}

// short writes v with about three figures.
func short(v float64) string { return Fixed(v, DecimalsFor(v)) }

// Quantity writes v with its unit.
func Quantity(v float64, unit string) string { return short(v) + NBSP + unit }

// Clock writes a time as hours and minutes: 6:05.
func Clock(seconds float64) string {
	if math.IsNaN(seconds) || math.IsInf(seconds, 0) || seconds < 0 {
		return Dash
	}
	minutes := int64(math.Round(seconds / 60))
	return fmt.Sprintf("%d:%02d", minutes/60, minutes%60)
}

// Duration writes a time in words: 40 min, 6 h 5 min, 31 h.
func Duration(seconds float64) string {
	if math.IsNaN(seconds) || math.IsInf(seconds, 0) || seconds < 0 {
		return Dash
	}
	minutes := int64(math.Round(seconds / 60))
	hours := minutes / 60
	switch {
	case hours == 0:
		return fmt.Sprintf("%d%smin", minutes, NBSP)
	case hours >= 10 || minutes%60 == 0:
		return fmt.Sprintf("%.0f%sh", math.Round(float64(minutes)/60), NBSP)
	default:
		return fmt.Sprintf("%d%sh%s%d%smin", hours, NBSP, NBSP, minutes%60, NBSP)
	}
}

// Span writes a range: 0.1–0.6. Ends that look the same are written once.
func Span(low, high float64, decimals int) string {
	a, b := Fixed(low, decimals), Fixed(high, decimals)
	switch {
	case a == b:
		return a
	case strings.Trim(a, "0.") == "":
		return "0–" + b
	default:
		return a + "–" + b
	}
}

// VolumeText writes a volume in the unit that suits it.
func VolumeText(mm3 float64) string {
	if math.Abs(mm3) < 100 {
		return Quantity(mm3, "mm³")
	}
	return Quantity(mm3/1000, "cm³")
}

// SizeText writes the three edges of a box, finer where it is small.
func SizeText(x, y, z float64) string {
	n := 1
	switch most := max(x, y, z); {
	case most < 1:
		n = 3
	case most < 10:
		n = 2
	}
	return fmt.Sprintf("%s%s×%s%s%s×%s%s%smm", Fixed(x, n), NBSP, NBSP, Fixed(y, n), NBSP, NBSP, Fixed(z, n), NBSP)
}

// Plural writes a count with its noun: 1 candidate, 3 candidates.
func Plural(n int, noun string) string {
	if n == 1 {
		return "1" + NBSP + noun
	}
	return Fixed(float64(n), 0) + NBSP + noun + "s"
}
