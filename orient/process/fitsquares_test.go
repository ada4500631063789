package process

import (
	"math"
	"testing"

	"gonum.org/v1/gonum/mat"
)

// standard is a data set of the NIST Statistical Reference Datasets, linear
// regression (https://www.itl.nist.gov/div898/strd/lls/lls.shtml). Data and
// certified values are written down from memory; that they agree to the digits
// asked for shows that both are right, since a wrong figure in either would not.
type standard struct {
	name    string
	x       func(i int) []float64 // the row of the design
	y       []float64
	beta    []float64
	sd      []float64
	sigma   float64
	digits  float64 // relative error of the estimates
	digitsS float64 // and of the standard deviations
}

func standards() []standard {
	norrisX := []float64{0.2, 337.4, 118.2, 884.6, 10.1, 226.5, 666.3, 996.3, 448.6, 777.0, 558.2, 0.4, 0.6, 775.5, 666.9, 338.0, 447.5, 11.6,
		556.0, 228.1, 995.8, 887.6, 120.2, 0.3, 0.3, 556.8, 339.1, 887.2, 999.0, 779.0, 11.1, 118.3, 229.2, 669.1, 448.9, 0.5}
	norrisY := []float64{0.1, 338.8, 118.1, 888.0, 9.2, 228.1, 668.5, 998.5, 449.1, 778.9, 559.2, 0.3, 0.1, 778.1, 668.8, 339.3, 448.9, 10.8,
		557.7, 228.3, 998.0, 888.8, 119.6, 0.3, 0.6, 557.6, 339.3, 888.0, 998.5, 778.9, 10.2, 117.6, 228.9, 668.4, 449.2, 0.2}
	pontius := []float64{.11019, .21956, .32949, .43899, .54803, .65694, .76562, .87487, .98292, 1.09146, 1.20001, 1.30822, 1.41599, 1.52399,
		1.63194, 1.73947, 1.84646, 1.95392, 2.06128, 2.16844, .11052, .22018, .32939, .43886, .54798, .65739, .76596, .87474, .98300, 1.09150,
		1.20004, 1.30818, 1.41613, 1.52408, 1.63159, 1.73965, 1.84696, 1.95445, 2.06177, 2.16829}
	longley := [][]float64{
		{60323, 83.0, 234289, 2356, 1590, 107608, 1947}, {61122, 88.5, 259426, 2325, 1456, 108632, 1948},
		{60171, 88.2, 258054, 3682, 1616, 109773, 1949}, {61187, 89.5, 284599, 3351, 1650, 110929, 1950},
		{63221, 96.2, 328975, 2099, 3099, 112075, 1951}, {63639, 98.1, 346999, 1932, 3594, 113270, 1952},
		{64989, 99.0, 365385, 1870, 3547, 115094, 1953}, {63761, 100.0, 363112, 3578, 3350, 116219, 1954},
		{66019, 101.2, 397469, 2904, 3048, 117388, 1955}, {67857, 104.6, 419180, 2822, 2857, 118734, 1956},
		{68169, 108.4, 442769, 2936, 2798, 120445, 1957}, {66513, 110.8, 444546, 4681, 2637, 121950, 1958},
		{68655, 112.6, 482704, 3813, 2552, 123366, 1959}, {69564, 114.2, 502601, 3931, 2514, 125368, 1960},
		{69331, 115.7, 518173, 4806, 2572, 127852, 1961}, {70551, 116.9, 554894, 4007, 2827, 130081, 1962},
	}
	longleyY := make([]float64, len(longley))
	for i, row := range longley {
		longleyY[i] = row[0]
	}
	sequence := func(from, count float64) []float64 {
		var out []float64
		for v := range int(count) {
			out = append(out, from+float64(v))
		}
		return out
	}
	quintic := func(i int) []float64 { return powers(float64(i), 5) }
	return []standard{
		{"Norris", func(i int) []float64 { return powers(norrisX[i], 1) }, norrisY,
			[]float64{-0.262323073774029, 1.00211681802045}, []float64{0.232818234301152, 0.429796848199937e-3}, 0.884796396144373, 1e-12, 1e-12},
		{"Pontius", func(i int) []float64 { return powers(150000*float64(i%20+1), 2) }, pontius,
			[]float64{0.673565789473684e-3, 0.732059160401003e-6, -0.316081871345029e-14},
			[]float64{0.107938612033077e-3, 0.157817399981659e-9, 0.486652849992036e-16}, 0.205177424076185e-3, 1e-10, 1e-10},
		{"NoInt1", func(i int) []float64 { return []float64{60 + float64(i)} }, sequence(130, 11),
			[]float64{2.07438016528926}, []float64{0.165289256198347e-1}, 3.56753034006338, 1e-13, 1e-12},
		{"NoInt2", func(i int) []float64 { return []float64{4 + float64(i)} }, []float64{3, 4, 4},
			[]float64{0.727272727272727}, []float64{0.420827318078432e-1}, 0.369274472937998, 1e-13, 1e-12},
		{"Longley", func(i int) []float64 { return append([]float64{1}, longley[i][1:]...) }, longleyY,
			[]float64{-3482258.63459582, 15.0618722713733, -0.358191792925910e-1, -2.02022980381683, -1.03322686717359, -0.511041056535807e-1, 1829.15146461355},
			[]float64{890420.383607373, 84.9149257747669, 0.334910077722432e-1, 0.488399681651699, 0.214274163161675, 0.226073200069370, 455.478499142212},
			304.854073561965, 1e-9, 1e-9},
		// With noise of 2e5 and 2e7 about coefficients of 1, seven and five digits are
		// what a double leaves.
		{"Wampler1", quintic, wampler(0, 1), ones(6), nil, 0, 1e-9, 0},
		{"Wampler2", quintic, wampler(0, 0.1), []float64{1, .1, .01, .001, .0001, .00001}, nil, 0, 1e-9, 0},
		{"Wampler3", quintic, wampler(1, 1), ones(6), wamplerErrors(1), 2360.14502379268, 1e-9, 1e-10},
		{"Wampler4", quintic, wampler(100, 1), ones(6), wamplerErrors(100), 236014.502379268, 1e-7, 1e-10},
		{"Wampler5", quintic, wampler(10000, 1), ones(6), wamplerErrors(10000), 23601450.2379268, 1e-5, 1e-10},
	}
}

// powers gives 1, x, ... x^degree.
func powers(x float64, degree int) []float64 {
	out := []float64{1}
	for i := range degree {
		out = append(out, out[i]*x)
	}
	return out
}

func ones(n int) []float64 {
	out := make([]float64, n)
	for i := range out {
		out[i] = 1
	}
	return out
}

// wampler gives the polynomial with coefficients step^k at 0 to 20, and noise
// times the errors of Wampler, which lie across all powers up to the fifth.
func wampler(noise, step float64) []float64 {
	errors := []float64{759, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 1838, -2048, 2048, -2048, 1838, -2048, 2048, -2048, 2523, -2048, 2048, -2048, 759}
	out := make([]float64, len(errors))
	for i := range out {
		for k, v := range powers(float64(i), 5) {
			out[i] += math.Pow(step, float64(k)) * v
		}
		out[i] += noise * errors[i]
	}
	return out
}

func wamplerErrors(noise float64) []float64 {
	out := []float64{2152.32624678170, 2363.55173469681, 779.343524331583, 101.475507550350, 5.64566512170752, 0.112324854679312}
	for i := range out {
		out[i] *= noise
	}
	return out
}

// The routine gives the certified values of the NIST data sets.
func TestLeastSquaresAgainstStandardSets(t *testing.T) {
	for _, s := range standards() {
		t.Run(s.name, func(t *testing.T) {
			x := mat.NewDense(len(s.y), len(s.beta), nil)
			for i := range s.y {
				x.SetRow(i, s.x(i))
			}
			got, err := leastSquares(x, s.y, nil)
			if err != nil {
				t.Fatal(err)
			}
			sigma := math.Sqrt(got.sum / float64(got.freedom))
			if s.sigma == 0 && sigma > 1e-6 || s.sigma > 0 && math.Abs(sigma/s.sigma-1) > 1e-11 {
				t.Errorf("residual standard deviation %.15g, certified %.15g", sigma, s.sigma)
			}
			for i, want := range s.beta {
				if math.Abs(got.beta[i]/want-1) > s.digits {
					t.Errorf("B%d = %.15g, certified %.15g (off by %.1g)", i, got.beta[i], want, got.beta[i]/want-1)
				}
				if s.sd == nil {
					continue
				}
				if sd := sigma * math.Sqrt(got.inverse.At(i, i)); math.Abs(sd/s.sd[i]-1) > s.digitsS {
					t.Errorf("standard deviation of B%d = %.15g, certified %.15g (off by %.1g)", i, sd, s.sd[i], sd/s.sd[i]-1)
				}
			}
		})
	}
}

// A weight of three is the reading taken three times.
func TestWeightsCountReadings(t *testing.T) {
	x := mat.NewDense(4, 2, []float64{1, 0, 1, 1, 1, 2, 1, 4})
	y, w := []float64{1, 3, 4, 9}, []float64{1, 3, 2, 1}
	got, err := leastSquares(x, y, w)
	if err != nil {
		t.Fatal(err)
	}
	long, longY := mat.NewDense(7, 2, nil), []float64{}
	for i, count := range w {
		for range int(count) {
			long.SetRow(len(longY), x.RawRowView(i))
			longY = append(longY, y[i])
		}
	}
	want, err := leastSquares(long, longY, nil)
	if err != nil {
		t.Fatal(err)
	}
	for i := range want.beta {
		near(t, "beta", got.beta[i], want.beta[i], 1e-13)
		near(t, "inverse", got.inverse.At(i, i), want.inverse.At(i, i), 1e-13)
	}
	near(t, "sum of squares", got.sum, want.sum, 1e-13)
}

func TestLeastSquaresRefusesWhatIsNotTold(t *testing.T) {
	for name, x := range map[string]*mat.Dense{
		"fewer readings than unknowns": mat.NewDense(1, 2, []float64{1, 2}),
		"two columns alike":            mat.NewDense(3, 2, []float64{1, 2, 2, 4, 3, 6}),
		"an empty column":              mat.NewDense(3, 2, []float64{1, 0, 2, 0, 3, 0}),
		"not a number":                 mat.NewDense(2, 1, []float64{1, math.NaN()}),
	} {
		n, _ := x.Dims()
		if got, err := leastSquares(x, make([]float64, n), nil); err == nil {
			t.Errorf("%s: %v", name, got.beta)
		}
	}
}
