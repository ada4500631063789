package headless

import (
	"runtime"
	"strings"
	"testing"
)

func TestFitsMemory(t *testing.T) {
	tests := []struct {
		elements  int
		available uint64
		fits      bool
	}{{0, 1, true}, {1000, 2_000_000, true}, {1000, 1_000_000, false}, {10_000_000, 8 << 30, false}, {10_000_000, 0, true}}
	for _, tt := range tests {
		err := fitsMemory(tt.elements, tt.available)
		if (err == nil) != tt.fits || err != nil && !strings.Contains(err.Error(), "MB are left") {
			t.Errorf("%d elements in %d bytes: %v", tt.elements, tt.available, err)
		}
	}
	if got := availableMemory(); runtime.GOOS == "linux" && got < 1<<20 {
		t.Errorf("%d bytes available", got)
	}
}
