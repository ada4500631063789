//go:build ci

package window

// opensWindows tells whether the toolkit was built with a display. Without one, which is
// its tag ci, it would draw into memory, and nobody could end the program.
const opensWindows = false
