package process

import "fmt"

// The relative density that a sound record implies; outside of it shrinkage and
// densities cannot all be right.
const (
	leastRelativeDensity = 0.90
	mostRelativeDensity  = 1.00
)

// Warnings says in sentences what is doubtful about a record that is otherwise
// valid. None means nothing was found, not that the record is true.
func (m Material) Warnings() []string {
	var out []string
	if text := m.densityWarning(); text != "" {
		out = append(out, text)
	}
	if m.ShrinkageSpread == [3]float64{} && m.Shrinkage != [3]float64{} {
		out = append(out, "shrinkage_spread is 0 on every axis: no shop repeats itself exactly, so the spread of dimensions will look better than it is")
	}
	if m.Creep.Calibrated == "" {
		out = append(out, "gravity sag is an uncalibrated estimate: print and fire the creep coupon and enter what it measures")
	}
	return out
}

// densityWarning compares the shrinkage with what the densities allow. The
// commonest slip is to enter growth over the finished size (1/(1-s) - 1) as
// shrinkage, so that is tried before the sentence is written.
func (m Material) densityWarning() string {
	relative := m.RelativeSinteredDensity()
	if relative >= leastRelativeDensity && relative <= mostRelativeDensity {
		return ""
	}
	text := fmt.Sprintf("shrinkage and densities do not go together: they give a sintered part of %.0f %% of full density, where 90 to 100 %% is usual", 100*relative)
	other := m
	for i, s := range m.Shrinkage {
		other.Shrinkage[i] = s / (1 + s)
	}
	if r := other.RelativeSinteredDensity(); relative > mostRelativeDensity && r >= leastRelativeDensity && r <= mostRelativeDensity {
		s := other.Shrinkage
		return text + fmt.Sprintf("; if these percentages were counted from the finished size, enter %.3f, %.3f, %.3f instead", s[0], s[1], s[2])
	}
	return text + "; check green_density_g_cm3, binder_density_g_cm3 and shrinkage against the material's data sheet"
}
