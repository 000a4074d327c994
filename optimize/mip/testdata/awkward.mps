* model _F_hre__1_2 is "\u00abF\u00f6hre\u00bb 1/2"
* column two_words is "two words"
* column two_words_2 is "two_words"
* column _quoted_ is "\"quoted'"
* column Gr__e is "Gr\u00f6\u00dfe"
* column c6 is "\u6728"
* column a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_ is "a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name 1"
* column a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_name_a_very_long__2 is "a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name a very long name 2"
* column _e12 is "e12"
* column _3rd is "3rd"
* column _Free is "Free"
* column _st is "st"
* column _star is "*star"
* column _dollar_and_line is "$dollar\nand line"
* column constant_2 is "constant"
* column _x is "-x"
* column c16_2 is "c16"
* row obj_2 is "obj"
* row limits_nothing is "limits nothing"
* column constant is fixed at 1 and carries the constant of the objective
* to be maximised; written as its negative, to be minimised
NAME _F_hre__1_2 FREE
ROWS
 N obj
 L obj_2
 G both
 G both_low
 E equal
 G empty
 L zeros
 G down
 L r9
COLUMNS
 plain obj -2
 plain obj_2 1
 MARKER 'MARKER' 'INTORG'
 two_words obj -3
 two_words obj_2 2
 two_words both 1
 two_words_2 obj 1
 two_words_2 obj_2 1
 MARKER 'MARKER' 'INTEND'
 _quoted_ obj 0.1
 _quoted_ both 1
 _quoted_ both_low 0.001
 _quoted_ equal 1
 Gr__e obj -1e-07
 Gr__e both -1
 c6 obj -1
 c6 both_low -1
 c6 down 1
 a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_ obj -1000
 a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_ r9 1000000
 MARKER 'MARKER' 'INTORG'
 a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_name_a_very_long__2 obj 1
 _e12 obj -0.25
 _e12 equal -0.5
 _e12 down 1
 _3rd obj -1
 _Free obj 0
 MARKER 'MARKER' 'INTEND'
 _st obj 0
 _star obj 0
 _dollar_and_line obj 0
 constant_2 obj 0
 MARKER 'MARKER' 'INTORG'
 c16 obj 0
 MARKER 'MARKER' 'INTEND'
 RHS obj -1
 MARKER 'MARKER' 'INTORG'
 MARKER obj -1
 _x obj 1
 _x equal 1
 _x down 1
 c16_2 obj 1
 c16_2 r9 1
 MARKER 'MARKER' 'INTEND'
 constant obj 12.5
RHS
 RHS obj_2 20
 RHS both 1.5
 RHS both_low -7
 RHS equal -2.5
 RHS empty -1
 RHS down -8
 RHS r9 123456789.125
RANGES
 RANGE both 1.75
 RANGE empty 2
BOUNDS
 LO BOUND two_words 0
 UP BOUND two_words 7
 LO BOUND two_words_2 2
 UP BOUND two_words_2 6
 FR BOUND _quoted_
 LO BOUND Gr__e -3
 UP BOUND Gr__e -1
 MI BOUND c6
 UP BOUND c6 -2
 FX BOUND a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_ 4
 LO BOUND a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_name_a_very_long__2 -5
 PL BOUND a_very_long_name_a_very_long_name_a_very_long_name_a_very_long_name_a_very_long__2
 MI BOUND _e12
 UP BOUND _e12 3
 LO BOUND _3rd 0
 UP BOUND _3rd 1
 LO BOUND _Free 0
 UP BOUND _Free 1
 LO BOUND _st 0
 UP BOUND _st 2
 LO BOUND _star 0
 UP BOUND _star 2
 LO BOUND _dollar_and_line 0
 UP BOUND _dollar_and_line 2
 LO BOUND constant_2 0
 UP BOUND constant_2 2
 LO BOUND c16 0
 UP BOUND c16 9
 LO BOUND RHS 0
 UP BOUND RHS 1
 LO BOUND MARKER 0
 UP BOUND MARKER 1
 FR BOUND _x
 LO BOUND c16_2 0
 PL BOUND c16_2
 FX BOUND constant 1
ENDATA
