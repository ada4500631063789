package render

import (
	"fmt"
	"strings"

	"golang.org/x/image/font/sfnt"
)

// typecase tells which characters a font has letters for. The PDF library sets
// nothing for those it lacks, and a file name would lose them unseen.
type typecase struct {
	font *sfnt.Font
	buf  sfnt.Buffer
}

func newTypecase(ttf []byte) (*typecase, error) {
	f, err := sfnt.Parse(ttf)
	if err != nil {
		return nil, fmt.Errorf("embedded font: %w", err)
	}
	return &typecase{font: f}, nil
}

// missing stands for characters that the font has no letter for.
const missing = '?'

// plain gives s in characters that the font has; control characters become
// spaces.
func (t *typecase) plain(s string) string {
	return strings.Map(func(r rune) rune {
		if r < ' ' {
			return ' '
		}
		const basic = 0xFFFF // the library knows no characters beyond
		if g, err := t.font.GlyphIndex(&t.buf, r); err != nil || g == 0 || r > basic {
			return missing
		}
		return r
	}, s)
}
