// Command parseonly parses a YAML file to nodes and does nothing else: the
// floor below the whole process of a check.
package main

import (
	"fmt"
	"os"

	"go.yaml.in/yaml/v4"
)

func main() {
	text, err := os.ReadFile(os.Args[1])
	if err == nil {
		err = yaml.Load(text, new(yaml.Node))
	}
	if err != nil {
		fmt.Fprintln(os.Stderr, err)
		os.Exit(1)
	}
}
