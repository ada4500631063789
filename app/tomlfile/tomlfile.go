// Package tomlfile reads TOML files strictly: a key that is not known, a list of the
// wrong length, a number that is none are errors in words of the file, with the place.
package tomlfile

import (
	"bytes"
	"errors"
	"fmt"
	"maps"
	"math"
	"reflect"
	"slices"
	"strings"

	"github.com/pelletier/go-toml/v2"
)

// Decode reads data into a struct with toml tags. hint ends the sentence on a key
// that is not known. A byte order mark is passed over. The error is one line that
// begins with the line or the key; the caller names the file.
func Decode(data []byte, into any, hint string) error {
	data = bytes.TrimPrefix(data, []byte("\ufeff"))
	if err := toml.NewDecoder(bytes.NewReader(data)).DisallowUnknownFields().Decode(into); err != nil {
		return plain(err, hint)
	}
	var tree map[string]any
	if err := toml.Unmarshal(data, &tree); err != nil {
		return plain(err, hint)
	}
	return check("", tree, reflect.TypeOf(into).Elem())
}

// plain puts the decoder's finding into words of the file.
func plain(err error, hint string) error {
	var strict *toml.StrictMissingError
	var decode *toml.DecodeError
	switch {
	case errors.As(err, &strict) && len(strict.Errors) > 0:
		row, _ := strict.Errors[0].Position()
		return fmt.Errorf("line %d: the key %s is not known; %s", row, short(strings.Join(strict.Errors[0].Key(), ".")), hint)
	case errors.As(err, &decode):
		row, _ := decode.Position()
		text := strings.TrimPrefix(decode.Error(), "toml: ")
		if key := strings.Join(decode.Key(), "."); ofTheLanguage(text) && key != "" {
			text = short(key) + " holds the wrong kind of value; write a number as 1.5, a list as [1, 2, 3], a text in quotes"
		} else if ofTheLanguage(text) {
			text = "a value of the wrong kind; write a number as 1.5, a list as [1, 2, 3], a text in quotes"
		}
		return fmt.Errorf("line %d: %s", row, short(text))
	}
	text := strings.TrimPrefix(err.Error(), "toml: ")
	if ofTheLanguage(text) {
		text = "a value is of the wrong kind or too large; write a number as 1.5, a list as [1, 2, 3], a text in quotes"
	}
	return errors.New(short(text))
}

// ofTheLanguage reports whether a message speaks of the programming language.
func ofTheLanguage(text string) bool {
	for _, word := range []string{"cannot decode", "cannot store", "strconv", "struct", "float64", "int64", "uint", "reflect", "unmarshal"} {
		if strings.Contains(text, word) {
			return true
		}
	}
	return false
}

// longest is how much of a key or message is told, in runes.
const longest = 200

func short(text string) string {
	if runes := []rune(text); len(runes) > longest {
		return string(runes[:longest]) + "…"
	}
	return text
}

// check compares the values of the file with what they were read into: the decoder
// leaves out what a list has too many and zero what it has too few.
func check(at string, value any, into reflect.Type) error {
	for into.Kind() == reflect.Pointer {
		into = into.Elem()
	}
	switch v := value.(type) {
	case float64:
		if math.IsNaN(v) || math.IsInf(v, 0) {
			return fmt.Errorf("%s holds %g; give a number", at, v)
		}
	case []any:
		return checkList(at, v, into)
	case map[string]any:
		return checkTable(at, v, into)
	}
	return nil
}

func checkList(at string, list []any, into reflect.Type) error {
	if into.Kind() != reflect.Array && into.Kind() != reflect.Slice {
		return nil // the decoder's own matter
	}
	if into.Kind() == reflect.Array && len(list) != into.Len() {
		return fmt.Errorf("%s has %d values; give %d", at, len(list), into.Len())
	}
	for i, v := range list {
		if err := check(fmt.Sprintf("%s no. %d", at, i+1), v, into.Elem()); err != nil {
			return err
		}
	}
	return nil
}

func checkTable(at string, table map[string]any, into reflect.Type) error {
	prefix := ""
	if at != "" {
		prefix = at + ", "
	}
	for _, key := range slices.Sorted(maps.Keys(table)) {
		of, ok := typeOf(into, key)
		if !ok {
			continue // a table in the place of something else is the decoder's own matter
		}
		if err := check(prefix+short(key), table[key], of); err != nil {
			return err
		}
	}
	return nil
}

// typeOf gives the type that the value of a key is read into; like the decoder it does
// not tell cases apart.
func typeOf(into reflect.Type, key string) (reflect.Type, bool) {
	switch into.Kind() {
	case reflect.Map:
		return into.Elem(), true
	case reflect.Struct:
		for i := range into.NumField() {
			f := into.Field(i)
			if name, _, _ := strings.Cut(f.Tag.Get("toml"), ","); strings.EqualFold(name, key) {
				return f.Type, true
			}
		}
	}
	return nil, false
}
