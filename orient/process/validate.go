package process

import (
	"errors"
	"fmt"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"
)

// KeyError says what is wrong with one key of a record.
type KeyError struct {
	// Key is the key in the file, "creep.poisson" for instance.
	Key string
	// Message is the sentence for the technician, with the value and what is
	// allowed.
	Message string
}

// Error gives the sentence.
func (e *KeyError) Error() string { return e.Message }

// Validate checks ranges and that the figures go together. The error joins one
// *KeyError per fault; nil means the record can be used.
func (m Material) Validate() error { return errors.Join(materialKind().check(&m)...) }

// Validate checks ranges; see Material.Validate.
func (p Printer) Validate() error { return errors.Join(printerKind().check(&p)...) }

// Validate checks ranges; see Material.Validate.
func (f Furnace) Validate() error { return errors.Join(furnaceKind().check(&f)...) }

// order says that the figure low may not exceed the figure high.
type order struct{ low, high string }

// check lists every fault of r, in the order of the file.
func (k kind[T]) check(r *T) []error {
	var faults []error
	value := map[string]float64{}
	for _, f := range k.fields {
		v := *f.of(r)
		value[f.key] = v
		if !(v >= f.least && v <= f.most) { // so that NaN fails
			faults = append(faults, f.fault(v))
		}
	}
	for _, o := range k.orders {
		if value[o.low] > value[o.high] {
			faults = append(faults, &KeyError{o.low, fmt.Sprintf(
				"%s is %s, more than %s, which is %s; it may not be", o.low, number(value[o.low]), o.high, number(value[o.high]))})
		}
	}
	if fault := checkName(*k.name(r)); fault != "" {
		faults = append(faults, &KeyError{"name", fault})
	}
	faults = append(faults, k.checkSources(*k.sources(r))...)
	if k.also != nil {
		faults = append(faults, k.also(r)...)
	}
	return faults
}

// longestName is how many characters the name of a record may have: what a list and a
// sheet can show.
const longestName = 200

// checkName says what is wrong with the name of a record, "" where nothing is.
func checkName(name string) string {
	switch n := utf8.RuneCountInString(name); {
	case strings.TrimSpace(name) == "":
		return "name is empty; give the record a name to choose it by"
	case n > longestName:
		return fmt.Sprintf("name has %d characters; allowed are %d", n, longestName)
	case strings.ContainsFunc(name, unicode.IsControl):
		return "name has line ends or control characters; write it on one line"
	}
	return ""
}

// fault is the sentence for a value out of range.
func (f field[T]) fault(v float64) error {
	key, unit, hint := f.key, "", ""
	if f.axis != "" {
		key += " (" + f.axis + ")"
	}
	if f.unit != "" {
		unit = " " + f.unit
	}
	if f.unit == fraction {
		unit = " as a fraction"
		if v > f.most && v/100 >= f.least && v/100 <= f.most {
			hint = fmt.Sprintf("; write %s %% as %s", number(v), number(v/100))
		}
	}
	return &KeyError{f.key, fmt.Sprintf("%s is %s; allowed is %s to %s%s (%s)%s",
		key, number(v), number(f.least), number(f.most), unit, f.label, hint)}
}

func number(v float64) string { return strconv.FormatFloat(v, 'g', -1, 64) }

// checkSources wants each source to name a figure, once, with a known tag, since
// a tag on nothing is a tag lost.
func (k kind[T]) checkSources(sources []Source) []error {
	var faults []error
	seen := map[string]bool{}
	for _, f := range k.fields {
		seen[f.key] = false
	}
	for _, s := range sources {
		had, known := seen[s.Item]
		switch {
		case !known:
			faults = append(faults, &KeyError{"source", fmt.Sprintf("a source speaks of %q, which is no figure of this record; write the key as it stands in the file", s.Item)})
		case had:
			faults = append(faults, &KeyError{"source", fmt.Sprintf("there are two sources for %s; keep one", s.Item)})
		case !s.Tag.known():
			faults = append(faults, &KeyError{"source", fmt.Sprintf("the source of %s has the tag %q; use P, H, D, C, M, J or S", s.Item, s.Tag)})
		}
		seen[s.Item] = true
	}
	return faults
}

// checkMaterial is what a table of ranges cannot say.
func checkMaterial(m *Material) []error {
	var faults []error
	for i, s := range m.Settings {
		if s.Item == "" || s.Value == "" {
			faults = append(faults, &KeyError{"setting", fmt.Sprintf("print setting %d lacks its item or its value; write both or remove it", i+1)})
		}
		if s.Tag != "" && !s.Tag.known() {
			faults = append(faults, &KeyError{"setting", fmt.Sprintf("print setting %q has the tag %q; use P, H, D, C, M, J or S", s.Item, s.Tag)})
		}
	}
	if m.MetalDensityGCM3 == m.BinderDensityGCM3 {
		faults = append(faults, &KeyError{"metal_density_g_cm3", "metal_density_g_cm3 equals binder_density_g_cm3; the share of metal cannot be told"})
	}
	return faults
}

// known tells whether t is made of the tags of this package, joined by + or /.
func (t Tag) known() bool {
	for _, part := range strings.Split(strings.ReplaceAll(string(t), "/", "+"), "+") {
		switch Tag(strings.TrimSpace(part)) {
		case Published, Handbook, Derived, Common, Memory, Judgement, Shop:
		default:
			return false
		}
	}
	return true
}
