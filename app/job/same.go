package job

import (
	"math"
	"reflect"
)

// Same reports whether two jobs hold the same: parts by what they hold, an empty list
// like none. A job that is the same needs no saving.
func (j Job) Same(o Job) bool {
	if !j.Part.Content.Equal(o.Part.Content) {
		return false
	}
	j.Part.Content, o.Part.Content = nil, nil
	return alike(reflect.ValueOf(j), reflect.ValueOf(o))
}

// alike compares two values of one type, deeply.
func alike(a, b reflect.Value) bool {
	switch a.Kind() {
	case reflect.Slice, reflect.Array:
		if a.Len() != b.Len() {
			return false
		}
		for i := range a.Len() {
			if !alike(a.Index(i), b.Index(i)) {
				return false
			}
		}
		return true
	case reflect.Struct:
		for i := range a.NumField() {
			if !alike(a.Field(i), b.Field(i)) {
				return false
			}
		}
		return true
	case reflect.Map:
		if a.Len() != b.Len() {
			return false
		}
		for _, k := range a.MapKeys() {
			if in := b.MapIndex(k); !in.IsValid() || !alike(a.MapIndex(k), in) {
				return false
			}
		}
		return true
	case reflect.Pointer, reflect.Interface:
		if a.IsNil() || b.IsNil() {
			return a.IsNil() == b.IsNil()
		}
		return a.Elem().Type() == b.Elem().Type() && alike(a.Elem(), b.Elem())
	case reflect.Float64, reflect.Float32:
		return a.Float() == b.Float() || math.IsNaN(a.Float()) && math.IsNaN(b.Float())
	default:
		return a.Equal(b)
	}
}
