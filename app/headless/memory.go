package headless

import (
	"fmt"
	"os"
	"strings"
)

// bytesPerElement is what an element of the furnace's grid takes, measured on grids of a
// million and more.
const bytesPerElement = 1340

// fitsMemory says why a grid of that size is not begun on this machine; nil where it has
// room or cannot tell.
func fitsMemory(elements int, available uint64) error {
	need := uint64(elements) * bytesPerElement
	if available == 0 || need <= available {
		return nil
	}
	return fmt.Errorf("--furnace-grid %d needs about %d MB of memory and %d MB are left; give up to %d elements", elements, need>>20, available>>20, available/bytesPerElement)
}

// availableMemory is what the system can give without taking it from others, in bytes; 0
// where it does not say: Linux alone tells it in a file.
func availableMemory() uint64 {
	data, err := os.ReadFile("/proc/meminfo")
	if err != nil {
		return 0
	}
	_, rest, found := strings.Cut(string(data), "MemAvailable:")
	var kb uint64
	if _, err := fmt.Sscan(rest, &kb); !found || err != nil {
		return 0
	}
	return kb << 10
}
