package furnace

import (
	"math"
	"strings"
	"testing"

	"gonum.org/v1/gonum/spatial/r2"
	"gonum.org/v1/gonum/spatial/r3"
)

// checkCreep is the material of the check values: density 7000 kg/m3, J 1.5e-6.
func checkCreep(poisson float64) Creep {
	c := DefaultCreep()
	c.Poisson = poisson
	return c
}

// TestCheckValues: rho 7000 kg/m3, g 9.80665 m/s2, J 1.5e-6 1/Pa. The figures
// were worked out apart from this code: beams from the handbook forms, plates
// from Civil Engineering Handbook, 2nd ed., eq. 47.73-47.76, columns from
// Greenhill (1881); the rest derived.
func TestCheckValues(t *testing.T) {
	c := checkCreep(0.5)
	steel := Creep{CompliancePerPa: 1 / 193e9, Poisson: 0.3, DensityKGM3: 7990}
	hc := ColumnLimitMM(c, 5.0/4)
	square := func(a float64) []r2.Vec {
		return []r2.Vec{{X: -a, Y: -a}, {X: a, Y: -a}, {X: a, Y: a}, {X: -a, Y: a}}
	}
	tests := []struct {
		name      string
		got, want float64
	}{
		{"cantilever 10 x 2", BeamSagMM(Cantilever, c, 10, 2), 0.3861},
		{"cantilever 20 x 5", BeamSagMM(Cantilever, c, 20, 5), 0.9885},
		{"cantilever 20 x 2", BeamSagMM(Cantilever, c, 20, 2), 6.178},
		{"simply supported 20 x 2", BeamSagMM(SimplySupported, c, 20, 2), 0.6436},
		{"built in 20 x 2", BeamSagMM(BuiltIn, c, 20, 2), 0.1287},
		{"built in 30 x 3", BeamSagMM(BuiltIn, c, 30, 3), 0.2896},
		{"shear of a cantilever at 0.5", BeamShearFactor(Cantilever, 0.5, 10, 2), 1 + 1.2*0.04},
		{"clamped plate", CircularPlateSagMM(BuiltIn, c, 15, 3), 0.08145},
		{"supported plate", CircularPlateSagMM(SimplySupported, c, 15, 3), 0.29865},
		{"Greenhill, steel rod 1 mm", ColumnLimitMM(steel, 0.25), 1064.6},
		{"creep column 5 mm", hc, 49.18},
		{"height for 10 %", HeightForGrowthMM(1.1, hc), 22.46},
		{"10 % at 0.457 of the limit", LeanGrowth(0.457, 1), 1.1},
		{"base strain, 50 high", FootStrain(c, 50), 0.005148},
		{"height loss, 50 high", HeightLossMM(c, 50), 0.1287},
		{"tip angle, cylinder 10 x 40", TipAngleDeg(polygon(720, 5), r3.Vec{Z: 20}), 14.036},
		{"tip angle, block 10 x 30", TipAngleDeg(square(5), r3.Vec{Z: 15}), 18.435},
		{"travel of 100 at 16 %", TravelMM(0.16, 100), 8},
		{"drag of 100", DragStrain(c, 0.5, 100), 0.5 * 7000 * 9.80665 * 0.05 * 1.5e-6},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			if math.Abs(tt.got-tt.want) > 2e-4*tt.want {
				t.Errorf("got %.5g, want %.5g", tt.got, tt.want)
			}
		})
	}
}

// polygon is a regular polygon about the origin.
func polygon(n int, radius float64) []r2.Vec {
	p := make([]r2.Vec, n)
	for i := range p {
		s, c := math.Sincos(2 * math.Pi * float64(i) / float64(n))
		p[i] = r2.Vec{X: radius * c, Y: radius * s}
	}
	return p
}

func TestComplianceFromSag(t *testing.T) {
	// The slender cantilever inverts to J = 2 sag h^2 / (3 rho g L^4).
	const l, h, sag = 0.02, 0.003, 0.0003 // m
	want := 2 * sag * h * h / (3 * 7000 * gravity * math.Pow(l, 4))
	if got := ComplianceFromSag(Cantilever, 7000, -1, l*1e3, h*1e3, sag*1e3); math.Abs(got-want) > 1e-9*want {
		t.Errorf("J = %v, want %v", got, want)
	}
	for _, hold := range []Hold{Cantilever, SimplySupported, BuiltIn} {
		c := DefaultCreep()
		s := BeamSagMM(hold, c, 15, 3) * BeamShearFactor(hold, c.Poisson, 15, 3)
		if got := ComplianceFromSag(hold, c.DensityKGM3, c.Poisson, 15, 3, s); math.Abs(got-c.CompliancePerPa) > 1e-12*got {
			t.Errorf("%v: J = %v, want %v", hold, got, c.CompliancePerPa)
		}
	}
}

func TestCreepValidate(t *testing.T) {
	if err := DefaultCreep().Validate(); err != nil {
		t.Fatal(err)
	}
	for name, spoil := range map[string]func(*Creep){
		"compliance": func(c *Creep) { c.CompliancePerPa = 0 },
		"range":      func(c *Creep) { c.LowPerPa = 2e-6 },
		"Poisson":    func(c *Creep) { c.Poisson = 0.5 },
		"density":    func(c *Creep) { c.DensityKGM3 = math.NaN() },
	} {
		c := DefaultCreep()
		spoil(&c)
		if err := c.Validate(); err == nil || !strings.Contains(err.Error(), name) {
			t.Errorf("%s: error %v", name, err)
		}
	}
}

// TestPoissonOfTheModel checks the figures in DefaultCreep's comment against the
// model they come from.
func TestPoissonOfTheModel(t *testing.T) {
	nu := func(r float64) float64 { return (3*r - 1) / (3*r + 1) }
	// K = 2 eta psi, G = eta phi, phi = rho^2, psi = (2/3) rho^3/(1-rho).
	for _, r := range []float64{0.6, 0.8, 0.9} {
		phi, psi := r*r, 2.0/3*r*r*r/(1-r)
		if want := (6*psi - 2*phi) / (2 * (6*psi + phi)); math.Abs(nu(r)-want) > 1e-12 {
			t.Errorf("rho %v: %v, want %v", r, nu(r), want)
		}
	}
	// Creep per step of density is F'(rho), F = 4 ln(r/(1-r)) - 4/r - 1/(2r^2).
	var sum, creep float64
	const steps = 10000
	for i := range steps {
		r := 0.60 + 0.37*(float64(i)+0.5)/steps
		w := 4/(r*(1-r)) + 4/(r*r) + 1/(r*r*r)
		sum, creep = sum+w*nu(r), creep+w
	}
	if got := sum / creep; math.Abs(got-0.418) > 5e-4 {
		t.Errorf("mean Poisson ratio = %.4f, want 0.418", got)
	}
	if j := 5e-6 / (27 * 2) * creep * 0.37 / steps; math.Abs(j-1.4521e-6) > 1e-10 {
		t.Errorf("J = %v, want 1.4521e-6", j)
	}
}
