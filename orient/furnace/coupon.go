package furnace

// The arms of the creep coupon
//
// An arm of the built-in coupon is no cantilever of the handbook: its root yields into
// the block, the block yields under all arms, and the weight on one side lifts the other.
// All of that is proportional to the compliance, so each arm has one factor on the sag of
// the handbook form with shear. The factors were solved on the mesh of the coupon
// (assets/parts/creep-coupon.stl) with this solver, at the top face: the tip against the
// root, where the arm leaves the block, with bricks of 0.5 mm. At a root of no radius the
// sag rises in proportion as the bricks become smaller, by 2 to 6 % to none at all (seen
// on grids of 1, 0.5 and 0.33 mm); a printed root is rounded by half a line, so the
// bricks were left there (judgement). The table in testdata/furnace/coupon.csv is made anew, and
// the factors below are held against it, by TestCouponFactors.

// armFactors are those of arms that are longer against their thickness from row to row.
func armFactors() []armFactor {
	return []armFactor{
		{7. / 3, [4]float64{1.2948, 1.1754, 1.0742, 1.0267}},
		{8. / 3, [4]float64{1.3512, 1.2407, 1.1440, 1.0981}},
		{10. / 3, [4]float64{1.3792, 1.2960, 1.2204, 1.1838}},
		{12. / 3, [4]float64{1.2929, 1.2222, 1.1577, 1.1263}},
		{16. / 3, [4]float64{1.2003, 1.1495, 1.1031, 1.0803}},
		{20. / 3, [4]float64{1.1809, 1.1406, 1.1031, 1.0847}},
	}
}

// armFactor is the factor of an arm for each of armPoisson.
type armFactor struct {
	slender float64 // span over thickness
	factor  [4]float64
}

// armPoisson are the Poisson ratios of the factors.
func armPoisson() [4]float64 { return [4]float64{0.2, 0.35, 0.45, 0.49} }

// rootFactor is by how much an arm on a block sags more than the handbook form has it,
// for the built-in coupon; for another cantilever on a stout block it is an estimate.
// What lies beyond the table takes its end.
func rootFactor(poisson, spanMM, thicknessMM float64) float64 {
	arms, at := armFactors(), armPoisson()
	var slender, factor []float64
	for _, a := range arms {
		slender = append(slender, a.slender)
		factor = append(factor, interpolated(at[:], a.factor[:], poisson))
	}
	return interpolated(slender, factor, spanMM/thicknessMM)
}

// interpolated interpolates in a table with rising x, and holds its ends.
func interpolated(x, y []float64, at float64) float64 {
	if at <= x[0] {
		return y[0]
	}
	for i := 1; i < len(x); i++ {
		if at <= x[i] {
			return y[i-1] + (y[i]-y[i-1])*(at-x[i-1])/(x[i]-x[i-1])
		}
	}
	return y[len(y)-1]
}

// ArmSagMM gives the sag of an arm of the creep coupon at the top face, tip minus root.
func ArmSagMM(c Creep, spanMM, thicknessMM float64) float64 {
	return BeamSagMM(Cantilever, c, spanMM, thicknessMM) *
		BeamShearFactor(Cantilever, c.Poisson, spanMM, thicknessMM) * rootFactor(c.Poisson, spanMM, thicknessMM)
}
