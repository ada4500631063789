package mesh

import (
	"errors"

	"github.com/hpinc/go3mf"
)

// rootTag is what is kept of the root element.
type rootTag struct {
	prefix, name string
	attrs        map[string]string
	core         []string // prefixes that stand for the core namespace
}

// setRoot keeps what the root element says.
func (m *modelScan) setRoot(tag *xmlTag) {
	m.root = rootTag{prefix: string(tag.prefix), name: string(tag.name), attrs: map[string]string{}}
	for _, a := range tag.attrs {
		prefix, local := cutName(a.name)
		m.root.attrs[string(a.name)] = string(a.value)
		switch {
		case string(a.value) != go3mf.Namespace:
			m.use(prefix)
		case string(a.name) == "xmlns":
			m.root.core = append(m.root.core, "")
		case string(prefix) == "xmlns":
			m.root.core = append(m.root.core, string(local))
		}
	}
}

// isCore reports whether a prefix stands for the core namespace.
func (t *rootTag) isCore(prefix []byte) bool {
	for _, p := range t.core {
		if p == string(prefix) {
			return true
		}
	}
	return false
}

// renames reports whether a tag gives its own prefix another meaning.
func (m *modelScan) renames(tag *xmlTag) bool {
	name := "xmlns"
	if len(tag.prefix) > 0 {
		name += ":" + string(tag.prefix)
	}
	space := tag.attr(name)
	return space != nil && string(space) != go3mf.Namespace
}

// bindsCore refuses an element within which a further prefix stands for the core:
// its meshes would be taken for foreign and passed over.
func (m *modelScan) bindsCore(tag *xmlTag) error {
	for _, a := range tag.attrs {
		if prefix, _ := cutName(a.name); (string(a.name) == "xmlns" || string(prefix) == "xmlns") && string(a.value) == go3mf.Namespace {
			return errors.New("the namespace of 3MF is declared within the model in place of its root")
		}
	}
	return nil
}

// use remembers a namespace prefix.
func (m *modelScan) use(prefix []byte) {
	if len(prefix) == 0 || len(m.used) >= maxAttributes || m.root.isCore(prefix) || string(prefix) == "xml" || string(prefix) == "xmlns" {
		return
	}
	for _, u := range m.used {
		if u == string(prefix) {
			return
		}
	}
	m.used = append(m.used, string(prefix))
}
