package window

import (
	"errors"
	"log"
	"strings"
	"testing"
)

func TestNoDisplayIsOneClearLine(t *testing.T) {
	t.Setenv("DISPLAY", "")
	t.Setenv("WAYLAND_DISPLAY", "")
	if !hasDisplay() {
		if err := Run(Options{}); err == nil || !strings.Contains(err.Error(), "advise") {
			t.Errorf("Run = %v", err)
		}
	}
}

func TestRefusedDisplayIsAnError(t *testing.T) {
	_, err := tryWindow(func() *mainWindow { panic(errors.New("NotInitialized: The GLFW library is not initialized")) })
	if err == nil || !strings.Contains(err.Error(), "no window can be opened") {
		t.Errorf("error = %v", err)
	}
	want := &mainWindow{}
	if w, err := tryWindow(func() *mainWindow { return want }); w != want || err != nil {
		t.Errorf("a window that opens: %v, %v", w, err)
	}
}

func TestOtherFaultsAreNotHidden(t *testing.T) {
	defer func() {
		if recover() == nil {
			t.Error("a fault of the program is taken for one of the display")
		}
	}()
	_, _ = tryWindow(func() *mainWindow { panic("index out of range") })
}

// The toolkit only logs that it has no window, and goes on.
func TestAWindowThatCannotBeMadeIsAnError(t *testing.T) {
	var through strings.Builder
	was := log.Writer()
	log.SetOutput(&through)
	defer log.SetOutput(was)
	err := shown(func() {
		log.Println("Fyne error:  window creation error")
		log.Println("  Cause: APIUnavailable: GLX: GLX extension not found")
	})
	if err == nil || !strings.Contains(err.Error(), "GLX extension not found") || strings.Contains(err.Error(), "\n") || through.String() != "" {
		t.Errorf("it says %v, and logs %q", err, through.String())
	}
	if err := shown(func() { log.Println("a remark") }); err != nil || !strings.Contains(through.String(), "a remark") {
		t.Errorf("for a window that is made it says %v, and logs %q", err, through.String())
	}
}
