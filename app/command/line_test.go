package command

import (
	"context"
	"errors"
	"fmt"
	"strings"
	"testing"
	"unicode/utf8"
)

func TestLine(t *testing.T) {
	tests := []struct {
		err  error
		want string
	}{
		{errors.New("a part is missing"), "a part is missing"},
		{errors.Join(errors.New("one"), errors.New("two")), "one; two"},
		{fmt.Errorf("reading: %w", context.Canceled), "stopped before it was done; nothing was changed"},
		{errors.New("name \x1b[2J\u202egnirts\r\nkilnpoise: all is well"), "name \ufffd[2J\ufffdgnirts\ufffd; kilnpoise: all is well"},
		{errors.New("\xff"), "\ufffd"},
	}
	for _, tt := range tests {
		if got := line(tt.err); got != tt.want {
			t.Errorf("%q becomes %q, want %q", tt.err, got, tt.want)
		}
	}
	long := line(errors.New(strings.Repeat("ü", 2_000_000) + "; do this"))
	if n := utf8.RuneCountInString(long); n > longestLine+3 || !strings.HasSuffix(long, "; do this") {
		t.Errorf("%d characters, ending in %q", n, long[len(long)-20:])
	}
}
