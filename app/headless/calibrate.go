package headless

import (
	"errors"
	"fmt"
	"io"
	"strconv"
	"strings"
	"time"

	"github.com/spf13/pflag"

	"kilnpoise/app/handover"
	"kilnpoise/assets"
	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// Calibration is what the calibrate command is told: what a fired coupon measured.
type Calibration struct {
	Coupons  []furnace.Coupon
	Material string
	Note     string
	// Try shows the outcome without keeping it.
	Try bool
}

// AddFlags adds the options to a set of flags.
func (c *Calibration) AddFlags(f *pflag.FlagSet) {
	f.Var((*couponFlag)(&c.Coupons), "coupon", "span, thickness and sag, mm, sintered; the sag of an arm is tip minus root on its top face; a fourth says how it is held: cantilever (default, an arm of the coupon), supported or built-in; may be repeated")
	f.StringVar(&c.Material, "material", assets.DefaultMaterial, "material record to keep the outcome in")
	f.StringVar(&c.Note, "note", "", "a note kept with the date, such as the number of the firing")
	f.BoolVar(&c.Try, "try", false, "show the outcome without keeping it")
}

// Validate checks what the flags alone cannot.
func (c *Calibration) Validate() error {
	if len(c.Coupons) == 0 {
		return errors.New("give at least one --coupon SPAN,THICKNESS,SAG in mm")
	}
	return nil
}

// Calibrate fits the creep compliance to the coupons and keeps it in the user's
// own material record, dated.
func Calibrate(c Calibration, today time.Time, stdout, stderr io.Writer) error {
	library := openLibrary(&console{w: stderr})
	m, err := record(library.Materials, "material", c.Material)
	if err != nil {
		return err
	}
	fit, err := handover.FitCoupons(&m, c.Coupons)
	if err != nil {
		return fmt.Errorf("%s", strings.TrimPrefix(err.Error(), "furnace: "))
	}
	for _, r := range fit.Remarks {
		fmt.Fprintln(stderr, r)
	}
	fmt.Fprintf(stdout, "creep compliance %.3g 1/Pa, %.3g to %.3g for the next part (%.0f %%), from %d of %d coupons; it was %.3g, %.3g to %.3g\n",
		fit.CompliancePerPa, fit.LowPerPa, fit.HighPerPa, 100*fit.Confidence, fit.Used, len(c.Coupons),
		m.Creep.CompliancePerPa, m.Creep.ComplianceLowPerPa, m.Creep.ComplianceHighPerPa)
	if c.Try {
		return nil
	}
	m.Creep.Calibrate(fit.CompliancePerPa, fit.LowPerPa, fit.HighPerPa, today, c.Note)
	if err := library.Materials.Save(m); err != nil {
		return err
	}
	return tellKept(stdout, "kept in", library, m.ID)
}

// tellKept names the record that figures were kept in.
func tellKept(w io.Writer, done string, library *process.Library, id string) error {
	kept, err := library.Materials.Get(id)
	if err != nil {
		return err
	}
	_, err = fmt.Fprintf(w, "%s your own record %q, named %q\n", done, kept.ID, kept.Name)
	return err
}

// couponFlag reads --coupon, once for each beam.
type couponFlag []furnace.Coupon

func (c *couponFlag) String() string { return "" }
func (c *couponFlag) Type() string   { return "SPAN,THICKNESS,SAG" }
func (c *couponFlag) Set(s string) error {
	fields := strings.Split(s, ",")
	if len(fields) != 3 && len(fields) != 4 {
		return fmt.Errorf("%q: give span, thickness and sag in mm, such as 15,3,0.62", s)
	}
	var v [3]float64
	for i := range v {
		x, err := strconv.ParseFloat(strings.TrimSpace(fields[i]), 64)
		if err != nil || !(x > 0 && x < 1000) {
			return fmt.Errorf("%q: give millimetres above 0", fields[i])
		}
		v[i] = x
	}
	coupon := furnace.Coupon{SpanMM: v[0], ThicknessMM: v[1], SagMM: v[2]}
	if len(fields) == 4 {
		hold, ok := map[string]furnace.Hold{
			"cantilever": furnace.Cantilever, "supported": furnace.SimplySupported, "built-in": furnace.BuiltIn,
		}[strings.TrimSpace(fields[3])]
		if !ok {
			return fmt.Errorf("%q: a beam is held as cantilever, supported or built-in", fields[3])
		}
		coupon.Hold = hold
	}
	*c = append(*c, coupon)
	return nil
}
