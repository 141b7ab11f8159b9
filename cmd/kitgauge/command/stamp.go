package command

import (
	"errors"
	"fmt"

	"github.com/spf13/cobra"

	"kitgauge/checker/files"
	"kitgauge/checker/release"
	"kitgauge/checker/report"
	"kitgauge/checker/source"
)

type stampOptions struct {
	reply       string
	authorities string
	document    int
}

func stampCommand(s Streams) *cobra.Command {
	var o stampOptions
	c := &cobra.Command{
		Use:   "stamp KIT",
		Short: "Give a sign-off a time that others vouch for",
		Long: `The day of a sign-off is its signer's own word. A time-stamp authority
(RFC 3161) vouches for a time at which the signature was there. kitgauge asks
nobody itself: without --reply it writes the query beside the signature,
gritter.release.json.sig.tsq, which you send to an authority of your choice;
with --reply it takes what came back, checks that it is a time stamp of this
signature by one of the --authorities, and keeps it beside the signature as
gritter.release.json.sig.tsr, where verify --authorities looks at it. Who has
no time stamp loses nothing.

` + caution + `

Exit status:
  0  the query is written, or the reply is taken
  1  the reply is no time stamp of this signature by a trusted authority
  2  a file could not be read or written
  3  wrong use of the command`,
		Example: `  kitgauge stamp kits/gritter.kit.yaml
  curl -H 'Content-Type: application/timestamp-query' --data-binary @kits/gritter.release.json.sig.tsq -o reply.tsr URL
  kitgauge stamp --reply reply.tsr --authorities authorities.pem kits/gritter.kit.yaml`,
		Args: func(_ *cobra.Command, args []string) error {
			if len(args) != 1 || args[0] == "-" {
				return errors.New("stamp needs one kit file")
			}
			return nil
		},
		ValidArgsFunction: kitsUpTo(1),
		RunE:              func(_ *cobra.Command, args []string) error { return stamp(s, o, args[0]) },
	}
	f := c.Flags()
	f.StringVar(&o.reply, "reply", "", "the reply of the time-stamp authority; without it the query is written")
	f.StringVar(&o.authorities, "authorities", "", "certificates of the time-stamp authorities that are trusted, in PEM")
	f.IntVar(&o.document, "document", 1, "which kit of a file that holds several")
	words(c, "document")
	return c
}

func stamp(s Streams, o stampOptions, kit string) error {
	if o.document < 1 || o.document > source.MaxDocuments {
		return wrong("--document: %d is no place in a file: the first is 1", o.document)
	}
	if o.reply != "" && o.authorities == "" {
		return wrong("--reply needs --authorities: the certificates of the authorities that are trusted")
	}
	record := release.RecordThere(kit, o.document-1)
	signature, err := files.ReadRegular(release.SignatureName(record))
	if err == nil {
		_, err = release.ParseSignature(signature)
	}
	if err != nil {
		return &failure{exitUnread, fmt.Errorf("%s: %s", report.Visible(release.SignatureName(record)), files.PlainError(err))}
	}
	if o.reply == "" {
		return writeQuery(s, record, signature)
	}
	return takeReply(s, o, record, signature)
}

func writeQuery(s Streams, record string, signature []byte) error {
	query, err := release.Query(signature)
	if err == nil {
		err = s.during.files.Write(release.QueryName(record), query)
	}
	if err != nil {
		return &failure{exitUnread, fmt.Errorf("the query cannot be written: %s", files.PlainError(err))}
	}
	p := &page{w: s.Out}
	p.entry("query", report.Visible(release.QueryName(record)))
	p.line("Send it to a time-stamp authority, and take its reply with --reply.")
	return p.err
}

func takeReply(s Streams, o stampOptions, record string, signature []byte) error {
	authorities, err := release.ReadAuthorities(o.authorities)
	if err != nil {
		return faulty("--authorities", err)
	}
	reply, err := files.ReadFile(o.reply)
	if err != nil {
		return &failure{exitUnread, fmt.Errorf("--reply: %s: %s", report.Visible(o.reply), files.PlainError(err))}
	}
	taken, err := authorities.Check(reply, signature)
	if err != nil {
		return &failure{exitOutside, fmt.Errorf("%s is not taken: %s", report.Visible(o.reply), err)}
	}
	if err := s.during.files.Write(release.StampName(record), reply); err != nil {
		return &failure{exitUnread, fmt.Errorf("the time stamp cannot be written: %s", files.PlainError(err))}
	}
	p := &page{w: s.Out}
	p.entry("time stamp", report.Visible(release.StampName(record)))
	p.entry("time", taken.String())
	return p.err
}
