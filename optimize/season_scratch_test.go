package optimize

import (
	"context"
	"fmt"
	"time"
)

func ScratchList(s *Season) {
	t0 := time.Now()
	all := 0
	for i := range s.Models {
		o, err := s.newModelForm(i)
		if err != nil {
			fmt.Println(err)
			continue
		}
		t1 := time.Now()
		l, ok, err := o.list(context.Background(), mostLooks, nil, 0)
		e := o.f.newEnumeration(everyLimit, nil, nil, o.words...)
		opt, _ := e.options()
		fmt.Println(i, len(l), ok, err, time.Since(t1), opt)
		all += len(l)
	}
	fmt.Println("all", all, time.Since(t0))
}
