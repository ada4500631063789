//go:build !ci

package window

// opensWindows tells whether the toolkit was built with a display.
const opensWindows = true
