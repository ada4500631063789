package orient

import (
	"strings"
	"testing"

	"kilnpoise/mesh"
)

// What is missing from a part is told first, also where what is left is closed.
func TestDoubtsOfACutOffPart(t *testing.T) {
	tests := []struct {
		name string
		part mesh.Part
		want []string
	}{
		{"sound", mesh.Part{Health: mesh.Health{Watertight: true}}, nil},
		{"open", mesh.Part{Health: mesh.Health{OpenEdges: 4}}, []string{"not closed (4 open edges)"}},
		{"cut off, closed", mesh.Part{CutOff: true, Health: mesh.Health{Watertight: true}}, []string{"some of the part is missing"}},
		{"cut off, open", mesh.Part{CutOff: true}, []string{"some of the part is missing", "not closed"}},
	}
	for _, tt := range tests {
		t.Run(tt.name, func(t *testing.T) {
			got := doubts(&tt.part)
			if len(got) != len(tt.want) {
				t.Fatalf("%q, want %d doubts", got, len(tt.want))
			}
			for i, want := range tt.want {
				if !strings.Contains(got[i], want) {
					t.Errorf("%q, want %q", got[i], want)
				}
			}
		})
	}
}
