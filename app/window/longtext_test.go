package window

import (
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
)

// A long verdict is set smaller before any of it is cut, and cut only where that is not
// enough.
func TestALongVerdictIsSetSmaller(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(newLook(alwaysLight))
	long := roleLongVerdict
	p := newProse(roleVerdict, theme.ColorNameForeground, "")
	p.most, p.small = 2, &long
	for _, tt := range []struct {
		name string
		text string
		role textRole
		cut  bool
	}{
		{"short", "Lay it flat: no support, sag 0–0.04 mm (estimate).", roleVerdict, false},
		{"long", "No way up passes every gate (leans over, sags too much). The least bad is to leave it as loaded, on its side, " +
			"flat side down: 0.55 cm³ of support, sag 0.3–4.0 mm laid on another face (estimate).", roleLongVerdict, false},
		{"too long", strings.Repeat("No way up passes every gate. ", 12), roleLongVerdict, true},
	} {
		p.SetText(tt.text)
		s := p.set(920)
		text := strings.Join(s.lines, " ")
		if s.role != tt.role || strings.HasSuffix(text, "…") != tt.cut || len(s.lines) > 2 {
			t.Errorf("%s: %d lines in role %d, %q", tt.name, len(s.lines), s.role, text)
		}
		if got, want := p.heightFor(920), float32(len(s.lines))*s.role.lineHeight(); got != want {
			t.Errorf("%s: it is %v high, want %v", tt.name, got, want)
		}
	}
}
