package main

import (
	"bytes"
	"compress/gzip"
	"embed"
	"fmt"
	"io"
	"time"

	"kilnpoise/app/command"
	"kilnpoise/assets"
)

//go:embed files
var texts embed.FS

// text gives one of the embedded files.
func text(name string) []byte {
	data, err := texts.ReadFile("files/" + name)
	if err != nil {
		panic(err) // embedded above: cannot be absent in a program that compiled
	}
	return data
}

// iconSizes are those of the icon theme that desktops share, in pixels.
func iconSizes() []int { return []int{16, 24, 32, 48, 64, 128, 256, 512} }

// writeShare writes what lies under /usr/share.
func writeShare(folder string, date time.Time) error {
	out := files{
		"applications/kilnpoise.desktop": text("kilnpoise.desktop"),
		"mime/packages/kilnpoise.xml":    text("kilnpoise-mime.xml"),
	}
	page, err := gzipped(manPage(command.Root(), command.Version, date))
	if err != nil {
		return err
	}
	out["man/man1/kilnpoise.1.gz"] = page
	if err := addCompletions(out); err != nil {
		return err
	}
	for _, size := range iconSizes() {
		icon, err := scaled(assets.Icon(), size)
		if err != nil {
			return err
		}
		out[fmt.Sprintf("icons/hicolor/%dx%d/apps/kilnpoise.png", size, size)] = icon
	}
	return out.write(folder)
}

// addCompletions adds what lets the usual shells complete the command line.
func addCompletions(out files) error {
	root := command.Root()
	const described = true
	for path, write := range map[string]func(io.Writer) error{
		"bash-completion/completions/kilnpoise":    func(w io.Writer) error { return root.GenBashCompletionV2(w, described) },
		"zsh/vendor-completions/_kilnpoise":        root.GenZshCompletion,
		"fish/vendor_completions.d/kilnpoise.fish": func(w io.Writer) error { return root.GenFishCompletion(w, described) },
	} {
		var b bytes.Buffer
		if err := write(&b); err != nil {
			return err
		}
		out[path] = b.Bytes()
	}
	return nil
}

// gzipped packs without name and date, so that the same text gives the same bytes.
func gzipped(data []byte) ([]byte, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	if err := w.Close(); err != nil {
		return nil, err
	}
	return b.Bytes(), nil
}
