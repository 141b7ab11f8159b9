package affected

// ParseDiff is the reader of git's raw format.
func ParseDiff(out []byte) (map[string]byte, error) {
	changes, err := parseDiff(out)
	statuses := map[string]byte{}
	for file, c := range changes {
		statuses[file] = c.status
	}
	return statuses, err
}
