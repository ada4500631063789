package window

import (
	"kilnpoise/app/window/kit"
	"strings"
	"testing"

	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/theme"
)

// A long verdict is set smaller before any of it is cut, and cut only where that is not
// enough.
func TestALongVerdictIsSetSmaller(t *testing.T) {
	test.NewTempApp(t).Settings().SetTheme(kit.NewLook(kit.AlwaysLight))
	long := kit.RoleLongVerdict
	p := kit.NewProse(kit.RoleVerdict, theme.ColorNameForeground, "")
	p.Most, p.Small = 2, &long
	for _, tt := range []struct {
		name string
		text string
		role kit.TextRole
		cut  bool
	}{
		{"short", "Lay it flat: no support, sag 0–0.04 mm (estimate).", kit.RoleVerdict, false},
		{"long", "No way up passes every gate (leans over, sags too much). The least bad is to leave it as loaded, on its side, " +
			"flat side down: 0.55 cm³ of support, sag 0.3–4.0 mm laid on another face (estimate).", kit.RoleLongVerdict, false},
		{"too long", strings.Repeat("No way up passes every gate. ", 12), kit.RoleLongVerdict, true},
	} {
		p.SetText(tt.text)
		s := p.Set(920)
		text := strings.Join(s.Lines, " ")
		if s.Role != tt.role || strings.HasSuffix(text, "…") != tt.cut || len(s.Lines) > 2 {
			t.Errorf("%s: %d lines in role %d, %q", tt.name, len(s.Lines), s.Role, text)
		}
		if got, want := p.HeightFor(920), float32(len(s.Lines))*s.Role.LineHeight(); got != want {
			t.Errorf("%s: it is %v high, want %v", tt.name, got, want)
		}
	}
}
