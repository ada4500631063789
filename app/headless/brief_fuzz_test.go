package headless

import (
	"bytes"
	"strings"
	"testing"

	"kilnpoise/orient"
)

// FuzzReadBrief reads any text as a brief: it is understood, or refused in one line
// that names the file.
func FuzzReadBrief(f *testing.F) {
	for _, seed := range []string{
		"material = \"316l\"\nshrinkage = [0.16, 0.16, 0.2]\n",
		"[priorities]\nless_sag = 5\n[cutter]\ndiameter_mm = 3\n",
		"[[face]]\nkind = \"keep_clean\"\nat = [1, 2, 3]\nwithin_deg = 20\n",
		"[[dimension]]\nname = \"bore\"\nbore_at = [1, 2, 3]\n[[load]]\nalong = [0, 0, 1]\n",
		"overhang_limit_deg = nan\n", "candidates = -1\n", "[[load]]\nalong = [0, 0, 0]\n", "\x00", "=",
	} {
		f.Add(seed)
	}
	f.Fuzz(func(t *testing.T, text string) {
		var b briefFile
		err := decodeBrief("brief.toml", bytes.NewReader([]byte(text)), &b)
		if err != nil {
			if !strings.HasPrefix(err.Error(), "brief.toml") {
				t.Errorf("the refusal does not name the file: %q", err)
			}
			return
		}
		kept, err := b.kept()
		if err == nil && len(kept.Faces) != len(b.Faces) {
			t.Errorf("%d of %d faces are kept", len(kept.Faces), len(b.Faces))
		}
		p := orient.DefaultPriorities()
		if b.weigh(&p) == nil {
			for k, w := range p {
				if !(w >= 0 && w <= mostWeight) {
					t.Errorf("priority %d weighs %g", k, w)
				}
			}
		}
	})
}
