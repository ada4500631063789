package command

import (
	"strings"

	"github.com/spf13/cobra"

	"kilnpoise/assets"
)

// builtInParts says how the built-in parts are named.
func builtInParts() string {
	var names []string
	for _, d := range assets.DemoParts() {
		names = append(names, d.ID)
	}
	return "The built-in parts are " + strings.Join(names, ", ") + ";\nwithout PART it is the first. A file of such a name goes before it."
}

// completePart completes the argument that names a part: a built-in one by its ID, or
// else a file that can be opened.
func completePart(_ *cobra.Command, args []string, begun string) ([]cobra.Completion, cobra.ShellCompDirective) {
	if len(args) > 0 {
		return nil, cobra.ShellCompDirectiveNoFileComp
	}
	var names []cobra.Completion
	for _, d := range assets.DemoParts() {
		if begun != "" && strings.HasPrefix(d.ID, begun) {
			names = append(names, cobra.CompletionWithDesc(d.ID, d.Title))
		}
	}
	if len(names) > 0 {
		return names, cobra.ShellCompDirectiveDefault
	}
	return []cobra.Completion{"stl", "3mf", "obj", "kilnpoise"}, cobra.ShellCompDirectiveFilterFileExt
}
