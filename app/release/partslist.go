package main

import (
	"encoding/base64"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"strings"
	"time"

	"kilnpoise/app/command"
)

// The list of what is linked in, in the form of CycloneDX 1.6 (ECMA-424), as far as it
// is used here.
type (
	cycloneDX struct {
		BOMFormat   string      `json:"bomFormat"`
		SpecVersion string      `json:"specVersion"`
		Version     int         `json:"version"`
		Metadata    metadata    `json:"metadata"`
		Components  []component `json:"components"`
	}
	metadata struct {
		Timestamp string    `json:"timestamp"`
		Component component `json:"component"`
	}
	component struct {
		Type     string         `json:"type"`
		Ref      string         `json:"bom-ref"`
		Name     string         `json:"name"`
		Version  string         `json:"version"`
		Hashes   []hash         `json:"hashes,omitempty"`
		Licences []licenceEntry `json:"licenses"`
		URL      string         `json:"purl,omitempty"`
	}
	hash struct {
		Algorithm string `json:"alg"`
		Content   string `json:"content"`
	}
	licenceEntry struct {
		Licence struct {
			ID string `json:"id"`
		} `json:"license"`
	}
)

// partsList lists the modules with their licences. It holds nothing of the machine that
// it is made on.
func partsList(modules []module, licences map[string][]licence, date time.Time) ([]byte, error) {
	list := cycloneDX{BOMFormat: "CycloneDX", SpecVersion: "1.6", Version: 1, Metadata: metadata{
		Timestamp: date.Format(time.RFC3339),
		Component: component{Type: "application", Ref: "kilnpoise", Name: "kilnpoise", Version: command.Version, Licences: entries([]string{"MIT"})},
	}}
	for _, m := range modules {
		c := component{Type: "library", Name: m.Path, Version: m.Version, Licences: entries(ids(licences[m.Path])), URL: packageURL(m)}
		c.Ref = c.URL
		if m.Sum != "" {
			sum, err := moduleHash(m.Sum)
			if err != nil {
				return nil, fmt.Errorf("%s: %w", m.Path, err)
			}
			c.Hashes = []hash{sum}
		}
		list.Components = append(list.Components, c)
	}
	data, err := json.MarshalIndent(list, "", "  ")
	return append(data, '\n'), err
}

func entries(ids []string) []licenceEntry {
	out := make([]licenceEntry, len(ids))
	for i, id := range ids {
		out[i].Licence.ID = id
	}
	return out
}

// packageURL names a module after the specification of package URLs, by which the
// names of Go modules are written small.
func packageURL(m module) string {
	return "pkg:golang/" + strings.ToLower(m.Path) + "@" + strings.ReplaceAll(m.Version, "+", "%2B")
}

// moduleHash writes the sum of go.sum in hex: a SHA-256 over the SHA-256 of the files of
// the module.
func moduleHash(sum string) (hash, error) {
	data, err := base64.StdEncoding.DecodeString(strings.TrimPrefix(sum, "h1:"))
	if err != nil || len(data) != 32 || !strings.HasPrefix(sum, "h1:") {
		return hash{}, fmt.Errorf("%q is no sum of go.sum", sum)
	}
	return hash{"SHA-256", hex.EncodeToString(data)}, nil
}
