package ship

import "testing"

func TestFind(t *testing.T) {
	example := []string{"COP 1", "COP 2", "COP 3"}
	for _, c := range []struct {
		text  string
		known []string
		want  string // "": not found
	}{
		{"COP 2", example, "COP 2"},
		{"cop2", example, "COP 2"},
		{" c o P\t2 ", example, "COP 2"},
		{"2", example, "COP 2"},
		{"4", example, ""},
		{"cop", example, ""},
		{"COP 22", example, ""},
		{"", example, ""},
		{" ", example, ""},
		{"", []string{""}, ""},
		{"1", []string{"1P", "1C", "1S"}, ""},                     // three have this number
		{"1", []string{"1P", "1C"}, ""},                           // two have
		{"1", []string{"COP 1", "1"}, "1"},                        // the same name comes first
		{"1", []string{"1", "COP 1"}, "1"},                        //
		{"1p", []string{"1P", "1C"}, "1P"},                        //
		{"4", []string{"1C", "4C"}, "4C"},                         //
		{"02", []string{"COP 2"}, ""},                             // keyed as no name of this ship
		{"1", []string{"No 1 pump of 3"}, ""},                     // two numbers in one name
		{"12", []string{"No 1 pump 2"}, ""},                       //
		{"ØST", []string{"øst", "vest"}, "øst"},                   //
		{"2", []string{"2A", "2B", "2C"}, ""},                     //
		{"3", []string{"3A", "3B", "3", "3C"}, "3"},               //
		{"5", []string{"4C", "5C", "6C", "5 slop", "5"}, "5"},     //
		{"5", []string{"4C", "5C", "6C", "5 slop", "5 x"}, ""},    //
		{"slop 5", []string{"5 slop", "slop 5"}, "slop 5"},        //
		{"slop", []string{"slop P", "slop S"}, ""},                //
		{"\u00a0cop\u00a02", []string{"COP 1", "COP 2"}, "COP 2"}, // no-break spaces
	} {
		i, ok := find(c.text, c.known)
		got := ""
		if ok {
			got = c.known[i]
		}
		if got != c.want {
			t.Errorf("find(%q, %q): got %q, want %q", c.text, c.known, got, c.want)
		}
	}
}

func TestFindInShip(t *testing.T) {
	s := loadExample(t).Ship
	if p, ok := s.FindPump("3"); !ok || p != &s.Pumps[2] {
		t.Errorf("pump 3: got %v", p)
	}
	if m, ok := s.FindManifold("m2"); !ok || m != &s.Manifolds[0] {
		t.Errorf("manifold m2: got %v", m)
	}
	if tank, ok := s.FindTank("4c"); !ok || tank != &s.Tanks[3] {
		t.Errorf("tank 4c: got %v", tank)
	}
	if p, ok := s.FindPump("COP 4"); ok || p != nil {
		t.Errorf("COP 4: got %v", p)
	}
	if m, ok := s.FindManifold("M1"); ok || m != nil {
		t.Errorf("M1: got %v", m)
	}
	if tank, ok := s.FindTank("7"); ok || tank != nil {
		t.Errorf("tank 7: got %v", tank)
	}
}
