package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"strconv"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"kilnpoise/app/headless"
)

func bookCommand() *cobra.Command {
	c := &cobra.Command{
		Use:   "book",
		Short: "Enter what fired parts measure, and fit the shrinkage to it",
		Long: "The firing book keeps what parts measured green and sintered. Its fit gives the shrinkage of your own\n" +
			"furnace per print axis with its spread, its drift and its outliers.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("%q: the firing book knows add, list, fit, export, import and remove", args[0])}
			}
			return nil
		},
		RunE: func(c *cobra.Command, _ []string) error { return c.Help() },
	}
	c.AddCommand(bookAdd(), bookList(), bookFit(), bookExport(), bookImport(), bookRemove())
	return c
}

// bookTask is a command that takes no arguments besides its flags.
type bookTask interface {
	AddFlags(f *pflag.FlagSet)
	Validate() error
	Run(ctx context.Context, today time.Time, stdout, stderr io.Writer) error
}

func taskCommand(use, short string, task bookTask) *cobra.Command {
	c := &cobra.Command{
		Use: use, Short: short, Args: none,
		PreRunE: func(c *cobra.Command, _ []string) error { return misused(c.Flags(), task.Validate) },
		RunE: func(c *cobra.Command, _ []string) error {
			return task.Run(c.Context(), time.Now(), c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	task.AddFlags(c.Flags())
	return c
}

func bookAdd() *cobra.Command {
	return taskCommand("add --reading NAME,DIRECTION,GREEN,SINTERED ...", "Enter a firing", &headless.BookEntry{})
}

func bookFit() *cobra.Command {
	return taskCommand("fit --material M", "Fit the shrinkage to the firings, and take it over with --take", &headless.BookFit{})
}

func bookList() *cobra.Command {
	var b headless.Book
	c := &cobra.Command{
		Use: "list", Short: "List the firings", Args: none, PreRunE: soundFlags,
		RunE: func(c *cobra.Command, _ []string) error {
			return b.List(c.Context(), c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	b.AddFlags(c.Flags())
	b.AddFilterFlags(c.Flags())
	return c
}

func bookExport() *cobra.Command {
	var b headless.Book
	var out string
	c := &cobra.Command{
		Use: "export --out FILE.csv", Short: "Write the firings as a table", Args: none,
		PreRunE: func(c *cobra.Command, _ []string) error {
			return misused(c.Flags(), func() error {
				if out == "" {
					return errors.New("give the file with --out, or - for standard output")
				}
				return nil
			})
		},
		RunE: func(c *cobra.Command, _ []string) error {
			return b.Export(c.Context(), out, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	b.AddFlags(c.Flags())
	b.AddFilterFlags(c.Flags())
	c.Flags().StringVar(&out, "out", "", "file of the table; - for standard output")
	return c
}

func bookImport() *cobra.Command {
	var b headless.Book
	c := &cobra.Command{
		Use: "import FILE.csv", Short: "Read firings from a table; those in the book already are passed over", Args: exactlyOne("table"), PreRunE: soundFlags,
		RunE: func(c *cobra.Command, args []string) error {
			return b.Import(c.Context(), args[0], c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	b.AddFlags(c.Flags())
	return c
}

func bookRemove() *cobra.Command {
	var b headless.Book
	c := &cobra.Command{
		Use: "remove NUMBER", Short: "Take a firing out of the book", Args: exactlyOne("number"), PreRunE: soundFlags,
		RunE: func(c *cobra.Command, args []string) error {
			id, err := strconv.ParseInt(args[0], 10, 64)
			if err != nil {
				return usageError{fmt.Errorf("%q: give the number of the firing as book list shows it", args[0])}
			}
			return b.Remove(c.Context(), id, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	b.AddFlags(c.Flags())
	return c
}

// soundFlags checks the flags of a command that has no rules of its own.
func soundFlags(c *cobra.Command, _ []string) error {
	return misused(c.Flags(), func() error { return nil })
}

// none and exactlyOne are cobra's checks of the arguments as errors of usage.
func none(c *cobra.Command, args []string) error {
	if len(args) > 0 {
		return usageError{fmt.Errorf("%q: %s takes flags only", args[0], c.CommandPath())}
	}
	return nil
}

func exactlyOne(what string) cobra.PositionalArgs {
	return func(_ *cobra.Command, args []string) error {
		if len(args) != 1 {
			return usageError{fmt.Errorf("give one %s, not %d", what, len(args))}
		}
		return nil
	}
}
