package window

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// nbsp keeps a number and its unit, or the thousands of a number, on one line.
const nbsp = "\u00a0"

// dash stands where there is no number.
const dash = "–"

// decimalsFor gives how many decimals show a value of that size with about three
// figures, none after the point from a hundred on.
func decimalsFor(v float64) int {
	switch v = math.Abs(v); {
	case v >= 99.95:
		return 0
	case v >= 9.995:
		return 1
	default:
		return 2
	}
}

// fixed writes v with that many decimals and its thousands set apart. NaN and
// infinities give a dash.
func fixed(v float64, decimals int) string {
	if math.IsNaN(v) || math.IsInf(v, 0) {
		return dash
	}
	text := strconv.FormatFloat(v, 'f', decimals, 64)
	whole, rest, _ := strings.Cut(text, ".")
	sign := ""
	if strings.HasPrefix(whole, "-") {
		sign, whole = "-", whole[1:]
	}
	whole = grouped(whole)
	if strings.Trim(whole+rest, "0"+nbsp) == "" {
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
	return strings.Join(append([]string{digits}, parts...), nbsp)
}

// short writes v with about three figures.
func short(v float64) string { return fixed(v, decimalsFor(v)) }

// quantity writes v with its unit.
func quantity(v float64, unit string) string { return short(v) + nbsp + unit }

// clock writes a time as hours and minutes: 6:05.
func clock(seconds float64) string {
	if math.IsNaN(seconds) || math.IsInf(seconds, 0) || seconds < 0 {
		return dash
	}
	minutes := int64(math.Round(seconds / 60))
	return fmt.Sprintf("%d:%02d", minutes/60, minutes%60)
}

// duration writes a time in words: 40 min, 6 h 5 min, 31 h.
func duration(seconds float64) string {
	if math.IsNaN(seconds) || math.IsInf(seconds, 0) || seconds < 0 {
		return dash
	}
	minutes := int64(math.Round(seconds / 60))
	hours := minutes / 60
	switch {
	case hours == 0:
		return fmt.Sprintf("%d%smin", minutes, nbsp)
	case hours >= 10 || minutes%60 == 0:
		return fmt.Sprintf("%.0f%sh", math.Round(float64(minutes)/60), nbsp)
	default:
		return fmt.Sprintf("%d%sh%s%d%smin", hours, nbsp, nbsp, minutes%60, nbsp)
	}
}

// span writes a range: 0.1–0.6. Ends that look the same are written once.
func span(low, high float64, decimals int) string {
	a, b := fixed(low, decimals), fixed(high, decimals)
	switch {
	case a == b:
		return a
	case strings.Trim(a, "0.") == "":
		return "0–" + b
	default:
		return a + "–" + b
	}
}

// volumeText writes a volume in the unit that suits it.
func volumeText(mm3 float64) string {
	if math.Abs(mm3) < 100 {
		return quantity(mm3, "mm³")
	}
	return quantity(mm3/1000, "cm³")
}

// sizeText writes the three edges of a box, finer where it is small.
func sizeText(x, y, z float64) string {
	n := 1
	switch most := max(x, y, z); {
	case most < 1:
		n = 3
	case most < 10:
		n = 2
	}
	return fmt.Sprintf("%s%s×%s%s%s×%s%s%smm", fixed(x, n), nbsp, nbsp, fixed(y, n), nbsp, nbsp, fixed(z, n), nbsp)
}

// plural writes a count with its noun: 1 candidate, 3 candidates.
func plural(n int, noun string) string {
	if n == 1 {
		return "1" + nbsp + noun
	}
	return fixed(float64(n), 0) + nbsp + noun + "s"
}
