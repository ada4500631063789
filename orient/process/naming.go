package process

import (
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// What is added to the name of a record whose figures are no longer those it had:
// for one part, or for good.
const (
	changedWord = "changed"
	ownWord     = "own"
)

// numbers finds the numbers in a name.
var numbers = regexp.MustCompile(`\d+(\.\d+)?`)

// A number in a name states a figure where it stands in a row of them, such as
// 16/16/20 or 250 x 210, before a unit, or behind "height"; "316L" and "17-4" do not.
var (
	statesAhead  = regexp.MustCompile(`^\s*([/x×]\s*\d|mm\b|%)`)
	statesBehind = regexp.MustCompile(`(?i)(\d\s*[/x×]|height)\s*$`)
)

// follow puts the figures right that a name states, since the record has changed
// from before to now.
func (k kind[T]) follow(name string, before, now *T) string {
	type figure struct{ before, now float64 }
	var left []figure
	for _, f := range k.fields {
		if slices.Contains(k.stated, f.key) {
			left = append(left, figure{statedValue(f.unit, *f.of(before)), statedValue(f.unit, *f.of(now))})
		}
	}
	var out strings.Builder
	end := 0
	for _, at := range numbers.FindAllStringIndex(name, -1) {
		v, err := strconv.ParseFloat(name[at[0]:at[1]], 64)
		if err != nil || !statesAhead.MatchString(name[at[1]:]) && !statesBehind.MatchString(name[:at[0]]) {
			continue
		}
		i := slices.IndexFunc(left, func(f figure) bool { return f.before == v })
		if i < 0 {
			continue
		}
		out.WriteString(name[end:at[0]])
		out.WriteString(strconv.FormatFloat(left[i].now, 'f', -1, 64))
		end = at[1]
		left = slices.Delete(left, i, i+1)
	}
	return out.String() + name[end:]
}

// statedValue is a figure as names state it: fractions in percent, two decimals.
func statedValue(unit string, v float64) float64 {
	if unit == fraction {
		v *= 100
	}
	return math.Round(v*100) / 100
}

// Renamed gives the name for a record that had other figures before: what the old
// name states is put right, and "changed" added. Where nothing has changed the old
// name stays.
func (s *Shelf[T]) Renamed(before, now T) string {
	name := *s.kind.name(&before)
	if len(s.kind.changed(&before, &now)) == 0 {
		return name
	}
	return marked(s.kind.follow(name, &before, &now), changedWord)
}

// marked adds a word to a name instead of what was added before.
func marked(name, word string) string {
	bare := name
	for _, w := range []string{changedWord, ownWord} {
		bare = strings.TrimSuffix(bare, ", "+w)
	}
	return bare + ", " + word
}

// ownName gives the name that r is kept under: its own where it bears that of a
// record with other figures. The shelf is locked by the caller.
func (s *Shelf[T]) ownName(r *T) string {
	id, name := *s.kind.id(r), *s.kind.name(r)
	if u, ok := s.user[id]; ok && name == *s.kind.name(&u.record) {
		name = s.kind.follow(name, &u.record, r)
	}
	if original, ok := s.builtin[id]; ok {
		changed := len(s.kind.changed(&original, r)) > 0
		switch {
		case changed && (name == *s.kind.name(&original) || strings.HasSuffix(name, ", "+changedWord)):
			return s.builtinName(r)
		case !changed && strings.HasSuffix(name, ", "+changedWord):
			return *s.kind.name(&original)
		}
	}
	for other, o := range s.all() {
		if other != id && *s.kind.name(&o) == name {
			return s.free(marked(s.kind.follow(name, &o, r), ownWord), id)
		}
	}
	if strings.HasSuffix(name, ", "+changedWord) {
		return s.free(marked(name, ownWord), id)
	}
	return name
}

// builtinName gives the name of a record made from the built-in one of its ID.
func (s *Shelf[T]) builtinName(r *T) string {
	id := *s.kind.id(r)
	original := s.builtin[id]
	return s.free(marked(s.kind.follow(*s.kind.name(&original), &original, r), ownWord), id)
}

// nameOld gives records a name of their own that were kept before records had one:
// under the name of the built-in one, with other figures.
func (s *Shelf[T]) nameOld() {
	for id, u := range s.user {
		original, ok := s.builtin[id]
		if ok && *s.kind.name(&original) == *s.kind.name(&u.record) && len(s.kind.changed(&original, &u.record)) > 0 {
			*s.kind.name(&u.record) = s.builtinName(&u.record)
			s.user[id] = u
		}
	}
}

// free gives the name, with a number where another record than id bears it.
func (s *Shelf[T]) free(name, id string) string {
	all := s.all()
	taken := func(name string) bool {
		for other, o := range all {
			if other != id && *s.kind.name(&o) == name {
				return true
			}
		}
		return false
	}
	out := name
	for n := 2; taken(out); n++ {
		out = name + " " + strconv.Itoa(n)
	}
	return out
}

// freeID makes an ID out of a name, without the figures that the name states, since
// an ID stays when they change.
func (s *Shelf[T]) freeID(name string) string {
	var bare strings.Builder
	end := 0
	for _, at := range numbers.FindAllStringIndex(name, -1) {
		if statesAhead.MatchString(name[at[1]:]) || statesBehind.MatchString(name[:at[0]]) {
			bare.WriteString(name[end:at[0]] + " ")
			end = at[1]
		}
	}
	words := slices.DeleteFunc(strings.Fields(bare.String()+name[end:]), func(w string) bool {
		return slices.Contains([]string{"x", "×", "/", "height", "height,", "//"}, w)
	})
	base := IDFor(strings.Join(words, " "))
	if checkID(base) != nil {
		base = ownWord + "-" + s.kind.folder
	}
	all := s.all()
	out := base
	for n := 2; ; n++ {
		if _, taken := all[out]; !taken {
			return out
		}
		out = base + "-" + strconv.Itoa(n)
	}
}

// NeedsOwnID reports whether the ID of the record that r was made from states its
// figures while r has others, so that r is kept better under an ID of its own.
func (s *Shelf[T]) NeedsOwnID(r T) bool {
	s.mu.RLock()
	defer s.mu.RUnlock()
	id := *s.kind.id(&r)
	before, ok := s.get(id)
	if !ok {
		return false
	}
	var none T
	states := s.kind.follow(id, &before, &none) != id
	return states && slices.ContainsFunc(s.kind.changed(&before, &r), func(key string) bool { return slices.Contains(s.kind.stated, key) })
}
