package process

import (
	"bytes"
	"strings"
)

// lineOf finds the line on which the dotted key is set or its table opened,
// counted from 1; 0 when it is not there as plain text. It is for messages only:
// the file has been parsed before, so a simple look at each line is enough.
func lineOf(data []byte, key string) int {
	table, inText := "", false
	for i, raw := range bytes.Split(data, []byte("\n")) {
		line := strings.TrimSpace(string(raw))
		fences := strings.Count(line, `"""`) + strings.Count(line, "'''")
		if inText {
			inText = fences%2 == 0
			continue
		}
		inText = fences%2 == 1
		if strings.HasPrefix(line, "[") {
			table, _, _ = strings.Cut(strings.Trim(line, "[ "), "]")
			if strings.TrimSpace(table) == key {
				return i + 1
			}
			table = strings.TrimSpace(table) + "."
			continue
		}
		name, _, isKey := strings.Cut(line, "=")
		if isKey && table+strings.TrimSpace(name) == key {
			return i + 1
		}
	}
	return 0
}
