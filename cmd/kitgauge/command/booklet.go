package command

import (
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"kitgauge/checker"
	"kitgauge/checker/files"
	"kitgauge/checker/report"
	"kitgauge/checker/report/booklet"
)

type bookletOptions struct {
	checkFlags
	oneKit
	language string
	words    string
}

func bookletCommand(s Streams) *cobra.Command {
	var o bookletOptions
	c := &cobra.Command{
		Use:   "booklet KIT",
		Short: "Write what the person who fits the kit works from",
		Long: `Check a kit and write one HTML file for whoever fits it: cautions, tools and
parts to have at hand, every step with its lines, lengths and pictures of where,
and boxes to tick and to sign. It is read on a phone and printed on A4 and
Letter, names no rule, needs no network and no scripts, and holds no time: the
same input gives the same bytes. A kit outside the gate, or a draft, is written
as well, and its first page says that it is not to be fitted.

The words are in the language of --language. --words takes a file with
further languages, of the form of checker/report/booklet/words.yaml; a word that
is missing there is an error. Texts of the kit stand as they are in its file.

The vehicle maker's instructions, local codes and licensed practice come first.

Exit status:
  0  the booklet is written
  2  the kit, or the file of words, could not be read; or the kit does not have
     the shape of a kit, and the booklet says so
  3  wrong use of the command, a broken rule pack, or a faulty file of words`,
		Example: `  kitgauge booklet examples/gritter/gritter.kit.yaml --out gritter-booklet.html
  kitgauge booklet --language de examples/gritter/gritter.kit.yaml --out heft.html`,
		RunE: func(_ *cobra.Command, args []string) error { return writeBooklet(s, &o, args[0]) },
	}
	o.checkFlags.flags(c)
	o.oneKit.flags(c, toFile)
	f := c.Flags()
	f.StringVar(&o.language, "language", "en", "the language of the booklet's words: en, de, or one of --words")
	f.StringVar(&o.words, "words", "", "a `FILE` with the words of further languages")
	_ = c.RegisterFlagCompletionFunc("words", endings("yaml", "yml"))
	_ = c.RegisterFlagCompletionFunc("language", func(*cobra.Command, []string, string) ([]string, cobra.ShellCompDirective) {
		return o.languages(), cobra.ShellCompDirectiveNoFileComp
	})
	return c
}

func writeBooklet(s Streams, o *bookletOptions, name string) error {
	language, err := o.wordsOf()
	if err != nil {
		return err
	}
	c, err := o.checker(s, checker.Options{})
	if err != nil {
		return err
	}
	r, err := o.read(c, name)
	if err != nil {
		return err
	}
	run, err := c.Report(version, r)
	if err != nil {
		return failed(err)
	}
	err = writeWhole(s, o.time, o.out, func(w io.Writer) error {
		return booklet.Write(w, booklet.Input{Run: run, Facts: r.Facts, Language: language})
	})
	if err == nil && !r.Shaped {
		err = exit(exitUnread)
	}
	return err
}

// wordsOf are the words in the language that is asked for.
func (o *bookletOptions) wordsOf() (*booklet.Language, error) {
	words, err := o.allWords()
	if err != nil {
		return nil, err
	}
	language, err := words.Language(o.language)
	if err != nil {
		return nil, wrong("--language: %s", err)
	}
	return language, nil
}

// allWords are the program's own words, with those of the file of --words.
func (o *bookletOptions) allWords() (*booklet.Words, error) {
	if o.words == "" {
		return booklet.OwnWords(), nil
	}
	text, _, err := files.ReadNamed(o.words)
	if err != nil {
		return nil, &failure{exitUnread, fmt.Errorf("--words: %s: %w", report.Visible(o.words), err)}
	}
	words, err := booklet.ReadWords(o.words, text)
	if err != nil {
		return nil, wrong("--words: %s", report.Visible(err.Error()))
	}
	return words, nil
}

// languages are those of all words; of the program's own where the file of the
// others is faulty.
func (o *bookletOptions) languages() []string {
	words, err := o.allWords()
	if err != nil {
		words = booklet.OwnWords()
	}
	return words.Languages()
}
