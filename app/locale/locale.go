// Package locale tidies the locale of the process before the window toolkit reads
// it. The toolkit reads it while it is initialised and complains on standard error
// about "C.UTF-8", the usual locale of containers and services, where scripts
// expect nothing but our own lines. Go initialises packages in the order of
// their paths as soon as what they import is ready; this one imports so little
// that it comes before.
package locale

import (
	"os"
	"strings"
)

func init() {
	for _, name := range []string{"LC_ALL", "LC_MESSAGES", "LANG"} {
		if v := os.Getenv(name); plain(v) != v {
			os.Setenv(name, plain(v))
		}
	}
}

// plain drops the encoding from the C locale.
func plain(v string) string {
	if strings.HasPrefix(v, "C.") {
		return "C"
	}
	return v
}
