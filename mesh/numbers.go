package mesh

import (
	"bytes"
	"fmt"
	"math"
	"strconv"
)

// numberStyle remembers oddities of the numbers in a text file, for the notes.
type numberStyle struct {
	fortran int // D in place of E before the exponent
	shifted int // exponent without its E, as in 3.1-e2 or 3.1+e2
}

// parse reads a coordinate. The error says what is wrong with the word, without
// the line.
func (s *numberStyle) parse(word []byte) (float64, error) {
	v, err := strconv.ParseFloat(string(word), 64)
	if err != nil {
		v, err = s.parseOdd(word)
	}
	if err == nil && (math.IsNaN(v) || math.IsInf(v, 0)) {
		err = fmt.Errorf("%q is not a finite number", clip(word))
	}
	return v, err
}

// parseOdd reads the number styles that some exporters have been seen to write.
func (s *numberStyle) parseOdd(word []byte) (float64, error) {
	if bytes.ContainsRune(word, ',') {
		return 0, fmt.Errorf("%q has a decimal comma; set the program that exports the part to decimal points", clip(word))
	}
	if i := bytes.IndexAny(word, "dD"); i > 0 {
		e := bytes.Clone(word)
		e[i] = 'e'
		if v, err := strconv.ParseFloat(string(e), 64); err == nil {
			s.fortran++
			return v, nil
		}
	}
	if i := bytes.IndexAny(word, "eE"); i > 0 && (word[i-1] == '+' || word[i-1] == '-') {
		e := bytes.Clone(word)
		e[i-1], e[i] = 'e', word[i-1]
		if v, err := strconv.ParseFloat(string(e), 64); err == nil {
			s.shifted++
			return v, nil
		}
	}
	return 0, fmt.Errorf("%q is not a number", clip(word))
}

// notes says what oddities were met.
func (s *numberStyle) notes() []string {
	var out []string
	if s.fortran > 0 {
		out = append(out, fmt.Sprintf("%d numbers have D for their exponent (1D+01) and were read as 1e+01.", s.fortran))
	}
	if s.shifted > 0 {
		out = append(out, fmt.Sprintf("%d numbers have their exponent's sign before its letter (3.1-e2) and were read as 3.1e-2.", s.shifted))
	}
	return out
}

// clip shortens a word from a file for a message.
func clip(word []byte) string {
	if len(word) > 30 {
		return string(word[:30]) + "..."
	}
	return string(word)
}
