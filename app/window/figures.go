package window

import (
	"reflect"
	"strings"

	"kilnpoise/orient/process"
)

// setFigure sets one figure of a process record, given by its key in the file
// ("creep.poisson") and, for a figure per axis, the axis. record is a pointer to
// the record. It reports whether there is such a figure.
func setFigure(record any, key, axis string, v float64) bool {
	at := reflect.ValueOf(record).Elem()
	for _, part := range strings.Split(key, ".") {
		if at.Kind() != reflect.Struct {
			return false
		}
		if at = fieldByTag(at, part); !at.IsValid() {
			return false
		}
	}
	if axis != "" && at.Kind() == reflect.Array {
		i := strings.Index("XYZ", axis)
		if i < 0 || i >= at.Len() {
			return false
		}
		at = at.Index(i)
	}
	if at.Kind() != reflect.Float64 {
		return false
	}
	at.SetFloat(v)
	return true
}

// fieldByTag finds the field whose TOML name is name.
func fieldByTag(s reflect.Value, name string) reflect.Value {
	for i := range s.NumField() {
		tag, _, _ := strings.Cut(s.Type().Field(i).Tag.Get("toml"), ",")
		if tag == name {
			return s.Field(i)
		}
	}
	return reflect.Value{}
}

// inPercent reports whether a figure is shown as a percentage.
func inPercent(f process.Figure) bool { return f.Unit == "fraction" }

// figureShown gives the value and unit as they are shown.
func figureShown(f process.Figure) (value float64, unit string) {
	if inPercent(f) {
		return f.Value * 100, "%"
	}
	return f.Value, strings.NewReplacer("deg", "°", "g/cm3", "g/cm³", "kg/m3", "kg/m³").Replace(f.Unit)
}

// figureLabel names a figure with its axis.
func figureLabel(f process.Figure) string {
	if f.Axis == "" {
		return f.Label
	}
	return f.Label + ", " + f.Axis
}

// figureSource says in a line where a figure comes from.
func figureSource(f process.Figure) string {
	if f.Source.Text == "" {
		return ""
	}
	return tagWord(f.Source.Tag) + ": " + f.Source.Text
}

// tagWord writes a tag out.
func tagWord(t process.Tag) string {
	words := map[process.Tag]string{
		process.Published: "published", process.Handbook: "handbook", process.Derived: "derived",
		process.Common: "common practice", process.Memory: "from memory", process.Judgement: "judgement",
		process.Shop: "this shop",
	}
	var out []string
	for _, part := range strings.FieldsFunc(string(t), func(r rune) bool { return r == '+' || r == '/' }) {
		if w, ok := words[process.Tag(strings.TrimSpace(part))]; ok {
			out = append(out, w)
		}
	}
	if len(out) == 0 {
		return string(t)
	}
	return strings.Join(out, " and ")
}
