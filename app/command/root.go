package command

import (
	"context"
	"errors"
	"fmt"
	"io"
	"os/signal"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"kilnpoise/app/headless"
	"kilnpoise/app/window"
)

// usageError marks errors of the command line itself.
type usageError struct{ error }

func (e usageError) Unwrap() error { return e.error }

func isUsage(err error) bool { return errors.As(err, &usageError{}) }

// execute parses and runs the command line.
func execute(ctx context.Context, args []string, stdout, stderr io.Writer) error {
	root := Root()
	root.SetArgs(args)
	root.SetOut(stdout)
	root.SetErr(stderr)
	return root.ExecuteContext(ctx)
}

// Root gives the command line, for running it and for describing it.
func Root() *cobra.Command {
	c := &cobra.Command{
		Use:               "kilnpoise [PART]",
		Short:             "Which way up to print a part that will be sintered, and why",
		Long:              "Kilnpoise opens PART (STL, 3MF or OBJ), a job (.kilnpoise), or a built-in part, in its window.\n\n" + builtInParts(),
		Version:           builtFrom().String(),
		Args:              atMostOne,
		ValidArgsFunction: completePart,
		SilenceErrors:     true,
		SilenceUsage:      true,
		RunE: func(_ *cobra.Command, args []string) error {
			signal.Reset(stopSignals()...) // the window ends at once: its job is kept as it goes
			o := window.Options{Version: Version, Build: builtFrom().String(), Faults: faults()}
			if len(args) == 1 {
				o.Path = args[0]
			}
			return window.Run(o)
		},
	}
	c.SetFlagErrorFunc(func(_ *cobra.Command, err error) error { return usageError{err} })
	c.Flags().Bool("version", false, "say version, commit and date")
	c.Flags().BoolP("help", "h", false, "help for this command or any other")
	c.SetVersionTemplate("kilnpoise {{.Version}}\n")
	c.CompletionOptions.DisableDefaultCmd = true
	c.AddCommand(adviseCommand(), calibrateCommand(), bookCommand())
	return c
}

func adviseCommand() *cobra.Command {
	var o headless.Options
	c := &cobra.Command{
		Use:   "advise [PART]",
		Short: "Work out the advice without a window",
		Long: "Advise measures the orientations of PART (STL, 3MF or OBJ), of the part in a job (.kilnpoise) by the brief that\n" +
			"was kept with it, or of a built-in part, and writes\n" +
			"advice.json, a picture of each candidate, the green mesh of the first and its sheet. They take the place of\n" +
			"those of an earlier run for the same part; other files give way only with --force.\n\n" +
			builtInParts() + "\n\n" +
			"An error is one line on standard error, several faults of a record with semicolons between. Exit code 0 is\n" +
			"done, 1 the input or the machine is at fault, 2 wrong usage, 3 the program is at fault.",
		Args: atMostOne, ValidArgsFunction: completePart,
		PreRunE: func(c *cobra.Command, _ []string) error {
			return misused(c.Flags(), o.Validate)
		},
		RunE: func(c *cobra.Command, args []string) error {
			if len(args) == 1 {
				o.Part = args[0]
			}
			return headless.Run(c.Context(), o, c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	o.AddFlags(c.Flags())
	return c
}

func calibrateCommand() *cobra.Command {
	var cal headless.Calibration
	c := &cobra.Command{
		Use:   "calibrate --coupon SPAN,THICKNESS,SAG ...",
		Short: "Fit the creep compliance to a fired coupon",
		Long: "Calibrate takes what the arms of a fired creep coupon have sagged, on the top face the tip against the root,\n" +
			"fits the creep compliance and keeps it with its range in your own material record. The coupon is among the\n" +
			"built-in parts; how much its roots and its block give way is allowed for.",
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) > 0 {
				return usageError{fmt.Errorf("%q: coupons are given with --coupon", args[0])}
			}
			return nil
		},
		PreRunE: func(c *cobra.Command, _ []string) error { return misused(c.Flags(), cal.Validate) },
		RunE: func(c *cobra.Command, _ []string) error {
			return headless.Calibrate(cal, time.Now(), c.OutOrStdout(), c.ErrOrStderr())
		},
	}
	cal.AddFlags(c.Flags())
	return c
}

// atMostOne is cobra's check of the arguments as an error of usage.
func atMostOne(_ *cobra.Command, args []string) error {
	if len(args) > 1 {
		return usageError{fmt.Errorf("one part at a time: %d were named", len(args))}
	}
	if len(args) == 1 && args[0] == "" {
		return usageError{errors.New("the name of the part is empty; leave it out for the built-in part")}
	}
	return nil
}

// misused gives what is wrong with the flags as an error of usage. A file or record
// whose name is empty, such as from a variable of a script that is not set, must not
// be taken for one that was left out.
func misused(flags *pflag.FlagSet, validate func() error) error {
	var empty error
	flags.Visit(func(f *pflag.Flag) {
		switch f.Name {
		case "out", "book", "brief", "file", "part-file", "material", "printer", "furnace":
			if f.Value.String() == "" {
				empty = usageError{fmt.Errorf("--%s is empty; give a name, or leave it out", f.Name)}
			}
		}
	})
	if empty != nil {
		return empty
	}
	if err := validate(); err != nil {
		return usageError{err}
	}
	return nil
}
