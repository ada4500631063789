package handover

import (
	"crypto/sha256"
	"encoding/hex"
	"strings"
	"unicode"
)

// longestName is how long, in bytes, the name may be that the files of a hand-over
// begin with: with the longest ending and while it is being written a file must stay
// within the 255 bytes of most systems.
const longestName = 150

// FileName makes a name that the files of a hand-over can begin with on every system:
// without control characters, marks that turn the direction of writing, and what
// some system forbids; a long one is cut, with a hash that tells it from others cut
// alike. It is never empty.
func FileName(name string) string {
	clean := strings.Map(func(r rune) rune {
		switch {
		case strings.ContainsRune(`/\:*?"<>|`, r):
			return '-'
		case !unicode.IsPrint(r): // control and format characters, line ends, odd spaces
			return '-'
		}
		return r
	}, strings.ToValidUTF8(strings.TrimSpace(name), "-"))
	clean = strings.Trim(clean, ". ") // hidden files, and what some systems cut off
	if len(clean) > longestName {
		sum := sha256.Sum256([]byte(name))
		clean = strings.TrimRight(strings.ToValidUTF8(clean[:longestName-9], ""), ". ") + "-" + hex.EncodeToString(sum[:4])
	}
	// A device of Windows keeps its meaning whatever ending follows a full stop.
	switch stem, _, _ := strings.Cut(strings.ToLower(clean), "."); strings.TrimRight(stem, "0123456789¹²³ ") {
	case "con", "conin$", "conout$", "prn", "aux", "nul", "com", "lpt":
		clean = "part-" + clean
	}
	if clean == "" {
		return "part"
	}
	return clean
}
