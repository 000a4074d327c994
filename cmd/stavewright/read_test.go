package main

import (
	"errors"
	"os"
	"path/filepath"
	"testing"
)

// A file is read up to a size and no further, and one of just that size is read whole.
func TestReadAtMost(t *testing.T) {
	path := filepath.Join(t.TempDir(), "x")
	if err := os.WriteFile(path, []byte("0123456789"), 0o600); err != nil {
		t.Fatal(err)
	}
	for most, want := range map[int64]error{9: errTooLarge, 10: nil, 11: nil, 0: errTooLarge} {
		data, err := readAtMost(path, most)
		if !errors.Is(err, want) || err == nil && string(data) != "0123456789" {
			t.Errorf("at most %d: %q, %v", most, data, err)
		}
	}
	// A device says that it is empty, and has no end.
	if _, err := os.Stat("/dev/zero"); err == nil {
		if _, err := readAtMost("/dev/zero", 1<<20); !errors.Is(err, errTooLarge) {
			t.Errorf("a file without end: %v", err)
		}
	}
}
