package locale

import "testing"

func TestPlain(t *testing.T) {
	for in, want := range map[string]string{"C.UTF-8": "C", "C": "C", "": "", "en_US.UTF-8": "en_US.UTF-8", "Cx": "Cx"} {
		if got := plain(in); got != want {
			t.Errorf("plain(%q) = %q, want %q", in, got, want)
		}
	}
}
