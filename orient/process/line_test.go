package process

import "testing"

func TestLineOf(t *testing.T) {
	const text = `name = "x"
note = """
shrinkage = 5
[creep]
"""
shrinkage = [1]
[ creep ]
  poisson=0.4
[[source]]
item = "creep.poisson"
[[source]]
item = "y"
one = """line"""
`
	for key, want := range map[string]int{
		"name": 1, "shrinkage": 6, "creep": 7, "creep.poisson": 8, "source": 9, "source.one": 13, "poisson": 0, "absent": 0,
	} {
		if got := lineOf([]byte(text), key); got != want {
			t.Errorf("lineOf(%q) = %d, want %d", key, got, want)
		}
	}
}
