// Command kitgauge checks the configuration of automatic-greasing kits.
package main

import (
	"os"

	"kitgauge/cmd/kitgauge/command"
)

func main() {
	os.Exit(command.Run(os.Args[1:], command.Streams{In: os.Stdin, Out: os.Stdout, Err: os.Stderr}))
}
