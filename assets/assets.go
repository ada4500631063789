// Package assets hands out what is built into the program: the icon, the records
// of materials, printers and furnaces, and the demo parts of a village pump. All
// of it is read-only and safe for concurrent use.
package assets

import (
	"embed"
	"io/fs"
)

//go:embed records/*/*.toml parts/*.stl icon.png
var content embed.FS

// The records used until the user chooses others, by ID.
const (
	DefaultMaterial = "316l"
	DefaultPrinter  = "plate-250x210"
	DefaultFurnace  = "setter-200x160"
)

// Records gives the built-in records: TOML files in the folders material,
// printer and furnace.
func Records() fs.FS { return sub("records") }

// Parts gives the meshes of the demo parts: binary STL files in millimetres.
func Parts() fs.FS { return sub("parts") }

// Icon gives the program's icon, a PNG of 512 x 512 pixels. The caller may keep
// and change the bytes.
func Icon() []byte {
	data, err := content.ReadFile("icon.png")
	if err != nil {
		panic(err) // embedded above: cannot be absent in a program that compiled
	}
	return data
}

// sub gives a folder of the embedded files.
func sub(folder string) fs.FS {
	fsys, err := fs.Sub(content, folder)
	if err != nil {
		panic(err) // only for an ill-formed folder name
	}
	return fsys
}
