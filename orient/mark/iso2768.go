package mark

import "math"

// The rules that limits come from.
const (
	Typed      = "typed"
	MediumRule = "ISO 2768-1 m"
	MiddleRule = "ISO 2768-2 K"
	// StockRule allows what is machined off afterwards.
	StockRule = "stock on it"
)

// row is a line of a table: what holds for lengths up to that.
type row struct{ upTo, allowed float64 }

// lookUp takes the row for a length rounded to 0.001 mm: a mesh measures
// 6.0000001 mm where the drawing says 6.
func lookUp(rows []row, beyond, mm float64) float64 {
	mm = math.Round(mm*1000) / 1000
	for _, r := range rows {
		if mm <= r.upTo {
			return r.allowed
		}
	}
	return beyond
}

// MediumTolerance gives the permissible deviation of a linear dimension, either
// way, mm, for tolerance class m of ISO 2768-1, table 1. The values for 25, 50
// and 150 mm were seen in an excerpt of the standard; the rest of the table is
// from memory. Lengths out of its range (0.5 to 4000 mm) take its ends.
func MediumTolerance(mm float64) float64 {
	return lookUp([]row{{6, 0.1}, {30, 0.2}, {120, 0.3}, {400, 0.5}, {1000, 0.8}, {2000, 1.2}}, 2, mm)
}

// MediumAngle gives that of an angle, degrees, by the length of its shorter leg,
// mm: ISO 2768-1, table 3, classes f and m, from memory.
func MediumAngle(mm float64) float64 {
	const minute = 1.0 / 60
	return lookUp([]row{{10, 1}, {50, 30 * minute}, {120, 20 * minute}, {400, 10 * minute}}, 5*minute, mm)
}

// MiddleFlatness gives the width of the zone, mm, for a flat of that longer side:
// ISO 2768-2, table 1, class K, from memory. Longer ones than 3000 mm take its end.
func MiddleFlatness(mm float64) float64 {
	return lookUp([]row{{10, 0.05}, {30, 0.1}, {100, 0.2}, {300, 0.4}, {1000, 0.6}}, 0.8, mm)
}
