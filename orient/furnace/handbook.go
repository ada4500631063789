package furnace

import "math"

// Closed forms for sag under self-weight. They are the elastic handbook forms
// with 1/E replaced by the creep compliance J (correspondence principle: exact
// only while geometry and density hold still). Lengths are mm; a beam has a
// rectangular section of height h, a plate the thickness h. None of them checks
// its input: a thickness of 0 gives infinity.

// Hold is how the ends of a beam or the rim of a plate are held.
type Hold int

// The ways to hold a beam: one end built in; both ends lying on edges; both
// built in.
const (
	Cantilever Hold = iota
	SimplySupported
	BuiltIn
)

// String gives the trade's name.
func (h Hold) String() string {
	switch h {
	case Cantilever:
		return "cantilever"
	case SimplySupported:
		return "simply supported"
	case BuiltIn:
		return "built in at both ends"
	}
	return "unknown hold"
}

// bending is the factor of rho g J L^4 / h^2: q L^4/(8 E I), 5 q L^4/(384 E I)
// and q L^4/(384 E I) with q = rho g b h and I = b h^3/12.
func (h Hold) bending() float64 {
	switch h {
	case Cantilever:
		return 3.0 / 2
	case SimplySupported:
		return 5.0 / 32
	case BuiltIn:
		return 1.0 / 32
	}
	return math.NaN()
}

// BeamSagMM gives the largest sag of a beam of span L by bending alone (handbook
// form): 1.5, 5/32 or 1/32 times rho g J L^4/h^2.
func BeamSagMM(hold Hold, c Creep, spanMM, thicknessMM float64) float64 {
	return hold.bending() * c.sink() * math.Pow(spanMM, 4) / (thicknessMM * thicknessMM)
}

// BeamShearFactor gives the factor by which shear raises the sag of a beam
// (Timoshenko beam, shear coefficient 5/6, handbook form): 1 + c (1+nu) (h/L)^2
// with c = 0.8, 1.92 and 9.6. For the cantilever at Poisson 0.5 it is
// 1 + 1.2 (h/L)^2.
func BeamShearFactor(hold Hold, poisson, spanMM, thicknessMM float64) float64 {
	c := math.NaN()
	switch hold {
	case Cantilever:
		c = 0.8
	case SimplySupported:
		c = 1.92
	case BuiltIn:
		c = 9.6
	}
	slender := thicknessMM / spanMM
	return 1 + c*(1+poisson)*slender*slender
}

// CircularPlateSagMM gives the sag of the middle of a circular plate by bending
// (Civil Engineering Handbook, 2nd ed., eq. 47.73-47.76): q a^4/(64 D) clamped,
// (5+nu)/(1+nu) times that simply supported, with D = h^3/(12 (1-nu^2) J). Hold
// is BuiltIn or SimplySupported.
func CircularPlateSagMM(hold Hold, c Creep, radiusMM, thicknessMM float64) float64 {
	nu := c.Poisson
	clamped := c.sink() * math.Pow(radiusMM, 4) * 12 * (1 - nu*nu) / (64 * thicknessMM * thicknessMM)
	switch hold {
	case BuiltIn:
		return clamped
	case SimplySupported:
		return clamped * (5 + nu) / (1 + nu)
	}
	return math.NaN()
}

// PlateShearMM gives what shear adds to the sag of the middle of a circular
// plate, held either way: q a^2/(4 k G h) with k = 5/6 (Reissner plate, H).
func PlateShearMM(c Creep, radiusMM float64) float64 {
	return c.sink() * radiusMM * radiusMM * 2 * (1 + c.Poisson) / (4 * 5.0 / 6)
}

// ColumnLimitMM gives h_c, the height at which an elastic column of the same
// section would buckle under its own weight (Greenhill 1881) with 1/J for E:
// (7.8373 I / (rho g J A))^(1/3). The radius of gyration is sqrt(I/A), d/4 for a
// round rod, t/sqrt(12) for a wall.
func ColumnLimitMM(c Creep, gyrationMM float64) float64 {
	return math.Cbrt(7.8373 * gyrationMM * gyrationMM / c.sink())
}

// LeanGrowth gives the factor by which an initial lean grows while the column is
// soft: exp((h/h_c)^3), derived here from the rate form of Greenhill's problem.
func LeanGrowth(heightMM, limitMM float64) float64 {
	return math.Exp(math.Pow(heightMM/limitMM, 3))
}

// HeightForGrowthMM is the height at which a lean grows by the given factor.
func HeightForGrowthMM(factor, limitMM float64) float64 {
	return limitMM * math.Cbrt(math.Log(factor))
}

// TravelMM gives how far each end of a length L slides on the setter while it
// shrinks by the fraction s towards its middle: s L / 2.
func TravelMM(shrinkage, lengthMM float64) float64 { return shrinkage * lengthMM / 2 }

// DragStrain gives the peak strain, in the middle of the foot, from friction on
// the setter: mu rho g (L/2) J (D). Friction 0.5, 0.2 to 1, is a judgement: no
// measured value was found.
func DragStrain(c Creep, friction, lengthMM float64) float64 {
	return friction * c.sink() * lengthMM / 2
}

// FootStrain gives the strain at the base of a column of height H under its own
// weight: rho g H J (D).
func FootStrain(c Creep, heightMM float64) float64 { return c.sink() * heightMM }

// HeightLossMM gives what such a column loses in height: half of the base strain
// times H (D).
func HeightLossMM(c Creep, heightMM float64) float64 {
	return FootStrain(c, heightMM) * heightMM / 2
}

// ElephantFootMM gives by how much a foot of width w widens at its base under
// its own weight: Poisson ratio x base strain x w (D). Friction on the setter
// and the height of the bulge are left out, so it is an upper estimate.
func ElephantFootMM(c Creep, heightMM, widthMM float64) float64 {
	return c.Poisson * FootStrain(c, heightMM) * widthMM
}

// ComplianceFromSag inverts BeamSagMM with shear: the J that gives the measured
// sag of a coupon. For the slender cantilever it is 2 sag h^2 / (3 rho g L^4).
func ComplianceFromSag(hold Hold, densityKGM3, poisson, spanMM, thicknessMM, sagMM float64) float64 {
	unit := Creep{CompliancePerPa: 1, Poisson: poisson, DensityKGM3: densityKGM3}
	return sagMM / (BeamSagMM(hold, unit, spanMM, thicknessMM) * BeamShearFactor(hold, poisson, spanMM, thicknessMM))
}
