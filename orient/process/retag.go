package process

import "slices"

// retag gives each figure of r the source that speaks of its value.
func (s *Shelf[T]) retag(id string, r *T) {
	before, known := s.get(id)
	if !known {
		return
	}
	original, isBuiltin := s.builtin[id]
	sources := s.kind.sources(r)
	for _, key := range s.kind.changed(r, &before) {
		old, _ := sourceOf(*s.kind.sources(&before), key)
		now, _ := sourceOf(*sources, key)
		if now != old {
			continue // the caller has said where it comes from
		}
		*sources = replaceSource(*sources, shopSource(key))
	}
	if isBuiltin {
		changed := s.kind.changed(r, &original)
		for _, source := range *s.kind.sources(&original) {
			now, ok := sourceOf(*sources, source.Item)
			if ok && now == shopSource(source.Item) && !slices.Contains(changed, source.Item) {
				*sources = replaceSource(*sources, source)
			}
		}
	}
	if s.kind.settings != nil {
		retagSettings(*s.kind.settings(r), *s.kind.settings(&before))
	}
}

// shopSource is the source of a figure that the user has changed without saying
// where the new value comes from.
func shopSource(key string) Source {
	return Source{Item: key, Tag: Shop, Text: "entered in this shop"}
}

// changed lists the keys whose values differ between a and b.
func (k kind[T]) changed(a, b *T) []string {
	var out []string
	for _, f := range k.fields {
		if *f.of(a) != *f.of(b) && !slices.Contains(out, f.key) {
			out = append(out, f.key)
		}
	}
	return out
}

func replaceSource(sources []Source, with Source) []Source {
	for i, s := range sources {
		if s.Item == with.Item {
			sources[i] = with
			return sources
		}
	}
	return append(sources, with)
}

// retagSettings marks the settings of now whose value the user has changed.
func retagSettings(now, before []Setting) {
	old := map[string]Setting{}
	for _, s := range before {
		old[s.Item] = s
	}
	for i, s := range now {
		if o, ok := old[s.Item]; ok && o.Value != s.Value && o.Tag == s.Tag {
			now[i].Tag = Shop
		}
	}
}
