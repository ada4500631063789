package book

import (
	"crypto/rand"
	"crypto/sha256"
	"encoding/hex"
	"errors"
	"fmt"
	"math"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"gonum.org/v1/gonum/spatial/r3"

	"kilnpoise/orient/furnace"
	"kilnpoise/orient/process"
)

// Limits of what the book takes: slips, not unusual parts. Judgement.
const (
	longestText = 10_000 // of a text, in bytes
	longestMM   = 10_000
	heaviestG   = 1_000_000
	largestMM3  = 1e10
	mostEntries = 10_000 // readings or sags of a firing
	firstYear   = 1990
	lastYear    = 2199
)

// Check says in a sentence what the book would not take of the firing; nil when it
// can be kept. A reading that is incomplete can be kept.
func (f Firing) Check() error {
	_, err := f.tidy()
	return err
}

// tidy gives the firing as the book keeps it: texts with plain line ends, the day
// without its time, unit directions.
func (f Firing) tidy() (Firing, error) {
	f.Date = Day(f.Date)
	if y := f.Date.Year(); y < firstYear || y > lastYear {
		return f, fmt.Errorf("the date %s cannot be that of a firing; give it as year-month-day", f.Date.Format(time.DateOnly))
	}
	if err := f.tidyTexts(); err != nil {
		return f, err
	}
	if err := within([]quantity{
		{"the green mass", f.GreenMassG, heaviestG, "g"}, {"the sintered mass", f.SinteredMassG, heaviestG, "g"},
		{"the green volume", f.GreenVolumeMM3, largestMM3, "mm3"}, {"the sintered volume", f.SinteredVolumeMM3, largestMM3, "mm3"},
	}); err != nil {
		return f, err
	}
	if n := max(len(f.Readings), len(f.Sags)); n > mostEntries {
		return f, fmt.Errorf("a firing holds up to %d readings; this has %d", mostEntries, n)
	}
	f.Sags = append([]Sag(nil), f.Sags...)
	f.Readings = append([]Reading(nil), f.Readings...)
	for i, s := range f.Sags {
		if err := s.check(); err != nil {
			return f, fmt.Errorf("sag %d: %w", i+1, err)
		}
	}
	for i := range f.Readings {
		if err := f.Readings[i].tidy(); err != nil {
			return f, fmt.Errorf("reading %d (%s): %w", i+1, shown(f.Readings[i].Name), err)
		}
	}
	if f.Key == "" {
		f.Key = newKey()
	}
	return f, nil
}

// tidyTexts tidies all texts but those of the readings. Only peak and remarks may
// run over several lines.
func (f *Firing) tidyTexts() error {
	lines := []struct {
		name string
		text *string
	}{
		{"key", &f.Key}, {"material", &f.Material}, {"furnace", &f.Furnace}, {"run", &f.Run}, {"part", &f.Part}, {"hash of the part", &f.PartSHA256}, {"job", &f.Job},
	}
	for _, t := range lines {
		if err := tidyLine(t.name, t.text); err != nil {
			return err
		}
	}
	if err := errors.Join(tidyText("peak", &f.Peak), tidyText("remarks", &f.Remarks)); err != nil {
		return errors.New(strings.ReplaceAll(err.Error(), "\n", "; "))
	}
	if f.Material == "" {
		return errors.New("the material is missing; give the ID of its record, such as 316l")
	}
	f.PartSHA256 = strings.ToLower(f.PartSHA256)
	if f.PartSHA256 != "" && !isHash(f.PartSHA256) {
		return errors.New("the hash of the part is no SHA-256; give its 64 hexadecimal digits or leave it out")
	}
	return nil
}

// shown is a text from outside as it may stand in a message: short, on one line.
func shown(s string) string {
	const most = 60
	runes := []rune(strings.ToValidUTF8(s, "?"))
	if len(runes) > most {
		runes = append(runes[:most], []rune("...")...)
	}
	for i, r := range runes {
		if !unicode.IsPrint(r) {
			runes[i] = ' '
		}
	}
	return string(runes)
}

func isHash(s string) bool {
	b, err := hex.DecodeString(s)
	return err == nil && len(b) == sha256.Size
}

// newKey makes a key that no other book has.
func newKey() string {
	var b [12]byte
	rand.Read(b[:]) // never fails
	return hex.EncodeToString(b[:])
}

// tidyText refuses what could not be read again, and trims.
func tidyText(name string, text *string) error {
	if len(*text) > longestText {
		return fmt.Errorf("the %s is longer than %d bytes; shorten it", name, longestText)
	}
	if !utf8.ValidString(*text) || strings.ContainsRune(*text, 0) {
		return fmt.Errorf("the %s holds bytes that are no text; save the file it came from as UTF-8", name)
	}
	*text = strings.TrimSpace(strings.NewReplacer("\r\n", "\n", "\r", "\n").Replace(*text))
	return nil
}

// tidyLine is tidyText for what stands on one line.
func tidyLine(name string, text *string) error {
	if err := tidyText(name, text); err != nil {
		return err
	}
	*text = strings.NewReplacer("\n", " ", "\t", " ").Replace(*text)
	return nil
}

// quantity is a number with its bounds: 0 to most.
type quantity struct {
	name  string
	value float64
	most  float64
	unit  string
}

func within(all []quantity) error {
	for _, q := range all {
		if !(q.value >= 0 && q.value <= q.most) {
			return fmt.Errorf("%s is %g; allowed is 0 (not known) to %g %s", q.name, q.value, q.most, q.unit)
		}
	}
	return nil
}

func (s Sag) check() error {
	if s.Hold < furnace.Cantilever || s.Hold > furnace.BuiltIn {
		return errors.New("a beam is held as cantilever, supported or built-in")
	}
	if !(s.SpanMM > 0 && s.ThicknessMM > 0) {
		return fmt.Errorf("span %g and thickness %g mm must be above 0", s.SpanMM, s.ThicknessMM)
	}
	return within([]quantity{{"the span", s.SpanMM, longestMM, "mm"}, {"the thickness", s.ThicknessMM, longestMM, "mm"}, {"the sag", s.SagMM, longestMM, "mm"}})
}

func (r *Reading) tidy() error {
	if err := tidyLine("name", &r.Name); err != nil {
		return err
	}
	if err := tidyLine("instrument", &r.Instrument); err != nil {
		return err
	}
	if err := within([]quantity{
		{"the green nominal length", r.GreenNominalMM, longestMM, "mm"}, {"the green length", r.GreenMM, longestMM, "mm"},
		{"the sintered nominal length", r.SinteredNominalMM, longestMM, "mm"}, {"the sintered length", r.SinteredMM, longestMM, "mm"},
		{"the standard uncertainty", r.ErrorMM, longestMM, "mm"}, {"the standard uncertainty on the green part", r.GreenErrorMM, longestMM, "mm"},
	}); err != nil {
		return err
	}
	if r.Across != process.Faces && r.Across != process.Points {
		return errors.New("it is not said between what it was measured; give faces or points")
	}
	var ok bool
	if r.PrintDirection, ok = unit(r.PrintDirection); !ok || r.PrintDirection == (r3.Vec{}) {
		return errors.New("its direction in the print frame is missing; give it as x,y,z, such as 0,0,1 for the build direction")
	}
	if r.PartDirection, ok = unit(r.PartDirection); !ok {
		return errors.New("its direction in the part frame is no direction; give it as x,y,z or leave it out")
	}
	if r.GreenMM > 0 && r.SinteredMM > 0 {
		return r.plausible()
	}
	return nil
}

// plausible finds lengths that were swapped or mistyped.
func (r *Reading) plausible() error {
	return process.Reading{
		Direction: r.PrintDirection, Across: r.Across, GreenMM: r.GreenMM, SinteredMM: r.SinteredMM,
		GreenErrorMM: orElse(r.GreenErrorMM, r.ErrorMM), SinteredErrorMM: r.ErrorMM,
	}.Check()
}

// unit gives a direction the length one; zero stays zero. A direction that is unit
// already but for rounding stays as it is, so that keeping it twice changes nothing.
func unit(v r3.Vec) (r3.Vec, bool) {
	n := r3.Norm(v)
	switch {
	case n == 0:
		return r3.Vec{}, true
	case math.IsNaN(n) || math.IsInf(n, 0) || n < 1e-6:
		return v, false
	case math.Abs(n-1) < 1e-12:
		return v, true
	}
	return r3.Unit(v), true
}
