package species_test

import (
	"fmt"

	"stavewright/species"
)

func Example() {
	table, err := species.Default().As(species.Conditions{MoisturePct: 8, ModulusRaisePct: 10})
	if err != nil {
		fmt.Println(err)
		return
	}
	for _, name := range []string{"Rotbuche (KD)", "tulipier", "poplar"} {
		wood, err := table.Lookup(name)
		if err != nil {
			fmt.Println(err)
			continue
		}
		fmt.Printf("%s: %.0f kg/m³, %.1f GPa (%s)\n", wood.ID, wood.DensityKgM3.Value, wood.ModulusGPa.Value, wood.ModulusGPa.Status)
	}
	// Output:
	// beech-european: 674 kg/m³, 17.0 GPa (assumed)
	// yellow-poplar: 462 kg/m³, 13.0 GPa (derived)
	// wood "poplar" is not clear: a Populus in Europe, yellow-poplar (Liriodendron) in North America; write poplar-hybrid or yellow-poplar if that is meant; for any other wood, add a row with this name and the Latin name to the Woods sheet of the job book
}

func ExampleRank() {
	for _, r := range species.Rank(species.Default().Woods(), species.SpecificStiffness)[:3] {
		fmt.Printf("%d %s %.1f %s\n", r.Rank, r.Wood.CommonName, r.Value, species.SpecificStiffness.Unit())
	}
	// Output:
	// 1 American basswood 24.4 MN·m/kg
	// 2 Sitka spruce 24.1 MN·m/kg
	// 3 Yellow-poplar (tulip poplar) 23.2 MN·m/kg
}
