package process

import (
	"bytes"
	"errors"
	"fmt"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// largestRecord is far above any record written by hand, and small enough that a
// wrong file dropped into the folder does no harm.
const largestRecord = 1 << 20

// FileError says what is wrong with a record file, and where.
type FileError struct {
	// File is the name of the file as it was given.
	File string
	// Line counts from 1; 0 when the fault has no one place.
	Line int
	// Err is the fault itself, often a *KeyError.
	Err error
}

// Error names the file, the line if known, and the fault.
func (e *FileError) Error() string {
	if e.Line == 0 {
		return fmt.Sprintf("%s: %v", e.File, e.Err)
	}
	return fmt.Sprintf("%s, line %d: %v", e.File, e.Line, e.Err)
}

// Unwrap gives the fault.
func (e *FileError) Unwrap() error { return e.Err }

// ReadMaterial reads a record from the bytes of a TOML file; file is its name
// for messages and is not opened. Unknown keys, missing figures and values out
// of range are errors: one *FileError per fault, joined. The ID stays empty.
func ReadMaterial(file string, data []byte) (Material, error) {
	return materialKind().read(file, data)
}

// ReadPrinter reads a printer record; see ReadMaterial.
func ReadPrinter(file string, data []byte) (Printer, error) {
	return printerKind().read(file, data)
}

// ReadFurnace reads a furnace record; see ReadMaterial.
func ReadFurnace(file string, data []byte) (Furnace, error) {
	return furnaceKind().read(file, data)
}

func (k kind[T]) read(file string, data []byte) (T, error) {
	var r, none T
	if len(data) > largestRecord {
		return none, &FileError{File: file, Err: fmt.Errorf("the file is larger than a record can be (%d bytes); is it the right file?", largestRecord)}
	}
	data = bytes.TrimPrefix(data, []byte("\ufeff")) // some editors write a byte order mark
	d := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields()
	if err := d.Decode(&r); err != nil {
		return none, errors.Join(k.decodeFaults(file, err)...)
	}
	var faults []error
	seen := map[string]bool{} // a figure that is missing is out of range as well: say it once
	for _, fault := range append(k.missing(data), k.check(&r)...) {
		var key *KeyError
		if !errors.As(fault, &key) {
			faults = append(faults, &FileError{File: file, Err: fault})
			continue
		}
		if line := lineOf(data, key.Key); line > 0 || !seen[key.Key] {
			faults = append(faults, &FileError{file, line, fault})
		}
		seen[key.Key] = true
	}
	if len(faults) > 0 {
		return none, errors.Join(faults...)
	}
	return r, nil
}

// decodeFaults puts the decoder's findings into sentences.
func (k kind[T]) decodeFaults(file string, err error) []error {
	var strict *toml.StrictMissingError
	if errors.As(err, &strict) {
		var out []error
		for _, e := range strict.Errors {
			line, _ := e.Position()
			key := strings.Join(e.Key(), ".")
			out = append(out, &FileError{file, line, &KeyError{key, fmt.Sprintf(
				"%s is no key of a %s record; correct the spelling or remove the line", key, k.folder)}})
		}
		return out
	}
	var at *toml.DecodeError
	if !errors.As(err, &at) {
		return []error{&FileError{File: file, Err: fmt.Errorf("cannot read the record: %w", err)}}
	}
	line, _ := at.Position()
	key := strings.Join(at.Key(), ".")
	text := strings.TrimPrefix(at.Error(), "toml: ")
	if strings.HasPrefix(text, "cannot decode") {
		text = key + " holds the wrong kind of value; write a number as 1.5, a list as [1, 2, 3], a text in quotes"
	}
	return []error{&FileError{file, line, &KeyError{key, text}}}
}

// missing lists the figures that the file does not hold. The decoder leaves
// them zero, and a short list too, without a word.
func (k kind[T]) missing(data []byte) []error {
	var tree map[string]any
	if err := toml.Unmarshal(data, &tree); err != nil {
		return []error{err}
	}
	want := map[string]int{}
	for _, f := range k.fields {
		want[f.key]++
	}
	var faults []error
	for _, f := range k.fields {
		count := want[f.key]
		delete(want, f.key)
		if count == 0 {
			continue
		}
		value := lookup(tree, f.key)
		list, isList := value.([]any)
		switch {
		case value == nil:
			faults = append(faults, &KeyError{f.key, fmt.Sprintf("%s is missing; give the %s", f.key, f.label)})
		case isList && len(list) != count:
			faults = append(faults, &KeyError{f.key, fmt.Sprintf("%s has %d values; give %d, one per axis", f.key, len(list), count)})
		}
	}
	return faults
}

// lookup walks a dotted key into nested tables; nil when there is nothing.
func lookup(tree map[string]any, key string) any {
	head, rest, nested := strings.Cut(key, ".")
	if !nested {
		return tree[head]
	}
	inner, _ := tree[head].(map[string]any)
	return lookup(inner, rest)
}
