package headless

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"time"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/app/book"
)

// dayFlag reads --date.
type dayFlag struct{ to *time.Time }

func (d *dayFlag) String() string { return "" }
func (d *dayFlag) Type() string   { return "DATE" }
func (d *dayFlag) Set(s string) (err error) {
	*d.to, err = dayOf(s)
	return err
}

// readingFlag reads --reading, once for each dimension.
type readingFlag []book.Reading

func (r *readingFlag) String() string { return "" }
func (r *readingFlag) Type() string   { return "NAME,DIRECTION,GREEN,SINTERED" }
func (r *readingFlag) Set(s string) error {
	fields := strings.Split(s, ",")
	if len(fields) < 4 || len(fields) > 6 {
		return fmt.Errorf("%q: give name, direction, green and sintered mm, such as width,X,47.6,39.94", s)
	}
	for i := range fields {
		fields[i] = strings.TrimSpace(fields[i])
	}
	out := book.Reading{Name: fields[0]}
	var err error
	if out.PrintDirection, err = axisOrDirection(fields[1]); err != nil {
		return err
	}
	for i, to := range []*float64{&out.GreenMM, &out.SinteredMM, &out.ErrorMM} {
		if i+2 >= len(fields) {
			break
		}
		if *to, err = strconv.ParseFloat(fields[i+2], 64); err != nil || !(*to > 0 && *to < 10_000) {
			return fmt.Errorf("%q: give millimetres above 0", fields[i+2])
		}
	}
	if commaMeant(fields[2:]) || out.ErrorMM > mostUncertainty {
		return fmt.Errorf("%q: %g mm is no uncertainty of a length; write decimals with a point, such as 59.52, since a comma parts the figures", s, out.ErrorMM)
	}
	if len(fields) == 6 {
		if out.Across, err = book.ParseAcross(fields[5]); err != nil {
			return err
		}
	}
	*r = append(*r, out)
	return nil
}

// mostUncertainty is the largest standard uncertainty of a length that is taken for one,
// mm: that of a tape. What is larger is most likely a length cut by a decimal comma
// (judgement).
const mostUncertainty = 0.5

// commaMeant reports whether a figure looks like the decimals of the one before: nobody
// writes 02 for 2.
func commaMeant(figures []string) bool {
	return slices.ContainsFunc(figures, func(s string) bool {
		return len(s) > 1 && s[0] == '0' && s[1] >= '0' && s[1] <= '9'
	})
}

// axisOrDirection reads X, Y, Z or three numbers with colons between.
func axisOrDirection(s string) (r3.Vec, error) {
	switch strings.ToUpper(s) {
	case "X":
		return r3.Vec{X: 1}, nil
	case "Y":
		return r3.Vec{Y: 1}, nil
	case "Z":
		return r3.Vec{Z: 1}, nil
	}
	v, err := triple(strings.ReplaceAll(s, ":", ","))
	to, ok := direction(v)
	if err != nil || !ok {
		return r3.Vec{}, fmt.Errorf("%q: give a direction in the print frame as X, Y, Z or x:y:z, such as 1:0:1", s)
	}
	return to, nil
}

// sagFlag reads --sag as calibrate reads its coupons.
type sagFlag []book.Sag

func (f *sagFlag) String() string { return "" }
func (f *sagFlag) Type() string   { return "SPAN,THICKNESS,SAG" }
func (f *sagFlag) Set(s string) error {
	var c couponFlag
	if err := c.Set(s); err != nil {
		return err
	}
	*f = append(*f, book.Sag{Hold: c[0].Hold, SpanMM: c[0].SpanMM, ThicknessMM: c[0].ThicknessMM, SagMM: c[0].SagMM})
	return nil
}
