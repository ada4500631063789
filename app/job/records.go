package job

import (
	"bytes"
	"errors"
	"fmt"

	"github.com/pelletier/go-toml/v2"

	"kilnpoise/app/tomlfile"
	"kilnpoise/orient/process"
)

// anyRecord is any of the three kinds.
type anyRecord interface {
	process.Material | process.Printer | process.Furnace
}

// encodeRecord gives a record in the form of its file. The record need not be
// sound: a job is saved in the middle of a change too.
func encodeRecord[T anyRecord](r T) ([]byte, error) {
	data, err := toml.Marshal(r)
	if err != nil {
		return nil, err
	}
	return bytes.ToValidUTF8(data, []byte("\uFFFD")), nil
}

// readRecord reads what encodeRecord wrote, whether it is sound or not.
func readRecord[T anyRecord](read source, name string) (T, error) {
	var r T
	data, err := read.needed(name)
	if err != nil {
		return r, err
	}
	if err := tomlfile.Decode(data, &r, "a record has no such key"); err != nil {
		return r, fmt.Errorf("holds a fault in %s (%w); take an earlier copy of the job", name, err)
	}
	return r, nil
}

// Check says what is wrong with the records of the brief, one fault per line; nil
// means they can be used. A job with faults is kept all the same, so that none
// is lost in the middle of a change: check it before working with it.
func (b *Brief) Check() error {
	return errors.Join(b.Material.Validate(), b.Printer.Validate(), b.Furnace.Validate())
}
