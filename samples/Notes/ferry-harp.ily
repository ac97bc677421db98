\version "2.24.0"
\language "nederlands"

% The harp of "The Ferry at Daybreak". The part and the score both read this file.
% Tag "full" is the concert text, tag "easy" thins the widest chords for a smaller hand.

toUpper = \change Staff = "upper"
toLower = \change Staff = "lower"

% One swell of the water, from hand to hand; it comes five times.
wave = \fixed c {
	g,8 d g \toUpper b d' g' \toLower
}

harpRight = \relative {
	\clef treble
	s2.*4

	% A: off the beat under the flute
	r8 <b d g>8 q r q q
	r8 <c e g> q r <b d g> q
	r8 <c e a> q r q <d fis a>
	r8 <b d g> q r <a d fis> q
	r8 <a d fis> q r <b d g> q
	r8 <b e g> q r <a c e> q
	r8 <b d g> q r <a c fis> q
	r8 <b d g> q e16( fis g a b c)

	% B: the harp sings
	<b^2 d^1>4( <d g>8 <g b>4 <fis a>8)
	<e g>4( <c e>8 <b d>4.)
	\appoggiatura d8 e8( fis g) <c, a'>4( <e c'>8
	<d b'>4. <d fis a>)
	<d d'>4( <c c'>8 <b b'>4 <a a'>8)
	<g b e g>4\arpeggio <b e b'>8 <a c e>4( <c fis>8)
	<b d g>8( a' b) <c, d fis a>4\arpeggio fis8
	\tag #'full { <b, d g b>2.\arpeggio }
	\tag #'easy { <b d g>2.\arpeggio }

	% out to sea
	s2.
	<g b e>4( <a c fis>8 <b e g>4 <a c fis>8)
	<fis a b dis>4.\arpeggio b'16( a g fis e dis)
	<g, b e>2.\arpeggio\fermata
	R2.*2

	% C: two voices in the right hand
	<<
		\new Voice {
			\voiceOne
			g4( bes8 ees4 d8)
			c4( aes8 g4.)
			aes8( bes c) d4( f8)
			ees4.~ ees8( d c)
			bes4( g8 aes4 c8)
			bes4( f8 g4 ees8)
			f8( g aes) bes4( d8)
			ees2.
		}
		\new Voice {
			\voiceTwo
			ees,4. g
			ees4. bes
			c4. aes'
			g8( f g) aes4.
			ees4. ees
			d4. bes
			c4. f4( aes8)
			g2.
		}
	>>
	c16( d ees f g aes) <ees aes c>4.
	<g bes ees g>4.\arpeggio \acciaccatura f'8 ees4( bes8)
	\tuplet 2/3 { <g c ees>8 <f bes d> } <ees g c>4.
	<c ees g>2.\arpeggio\fermata
	R2.
	<a c d fis>4.\arpeggio r

	% D: home
	s2.
	s4. \tag #'part { r4.^\markup \small \italic "fl." } \tag #'score { r4. }
	s2.
	r4. <c, fis>4.
	r8 <a d fis>8 q r <b d g> q
	r8 <b e g> q r <a c e> q
	<b d g>4 q8 <a c fis>4.
	s2.

	% E: the left hand's variable carries the wave through both staves
	s2.*8
	g'4.\flageolet b\flageolet
	b,8( d g b d g)
	b4\glissando b,,2\breathe
	<g' b d g>2.\arpeggio\fermata
}

harpLeft = \fixed c {
	\clef bass
	\wave
	g,8 e g \toUpper c' e' g' \toLower
	\wave
	d,8 a, d \toUpper a c' fis' \toLower

	<g, d>4. d
	c4. <g, d>
	<a, e>4. c
	<d g>4. d,
	d4. <g, d>
	<e, b,>4. <a, e>
	<d, d>4. <d, a, d>
	<g, d>4. r

	g,8_4( d_2 g_1) g,8( d g)
	c8( g c') g,( d g)
	a,8( e a) c( e a)
	g,8( d g) d,( a, d)
	d8( fis a) g,( d g)
	e,8( b, e) a,( e a)
	d8( g b) d,( a, d)
	g,16( b, d g b d' b g d b, g, d,)

	e16( fis g a b c' \toUpper d' e' fis' g' a' b') \toLower
	e,8( b, e) g,( b, e)
	<b,, fis, b,>4.\arpeggio <b, fis>
	<e, b, e>2.\arpeggio\fermata
	R2.*2

	ees,8( bes, ees) g,( bes, ees)
	aes,8( ees aes) ees,( bes, ees)
	f,8( c f) bes,( d f)
	c8( ees g) aes,( ees aes)
	g,8( bes, ees) aes,( ees aes)
	bes,8( d f) ees( bes, g,)
	f,8( c f) bes,,( f, bes,)
	ees,8( bes, ees g bes ees')
	<aes, ees aes>4. aes,16( bes, c d ees f)
	g8( ees bes,) g,( bes, ees)
	<c g>4. <c, c>
	<c, g, c>2.\arpeggio\fermata
	R2.
	<d, a, d>4.\arpeggio r

	\wave
	<< { r8 g( c') s4. } \\ { c4. <g, d>4. } >>
	\wave
	<<
		{ \voiceOne g4( b8) a4( fis8) }
		\new Voice { \voiceTwo d2. }
	>>
	\oneVoice
	d4. <g, d>
	<e, b,>4. <a, e>
	<d, d>4. <d, a, d>
	\wave
	g,16[ d g] \toUpper b[ d' g'] b'[ g' d'] \toLower g[ d b,]
	c16[ g c'] \toUpper e'[ g' c''] e''[ c'' g'] \toLower c'[ g e]
	a,16[ e a] \toUpper c'[ e' a'] c''[ a' e'] \toLower a[ e c]
	d,16[ a, d] \toUpper a[ c' fis'] a'[ fis' c'] \toLower d[ a, fis,]
	e,16[ b, e] \toUpper b[ e' g'] b'[ g' e'] \toLower g[ e b,]
	c,16[ g, c] \toUpper g[ c' e'] g'[ e' c'] \toLower e[ c g,]
	d,16[ a, d] \toUpper a[ d' fis'] c''[ fis' d'] \toLower fis[ d a,]
	g,16[ d g] \toUpper b[ d' g'] b'4. \toLower
	<g d'>4.\flageolet g\flageolet
	g,8( d g) g,( d g)
	<g,, g,>2.
	<g,, d, g,>2.\arpeggio\fermata
}

harpDynamics = {
	s2.*4\p s2.*8\mp
	s2.*7\mf s4.\f s4.\>
	s2.\p\< s2. s2.\f s2.\>
	s2.*2\!
	s2.*8\p s2.\< s2. s2.\mf s2.\> s2.\! s2.
	s2.*8\p s2.*4\mf s2.*2\f s2.\> s2.\p s2.\pp s2. s2.\< s2.\p
}

harpPedals = {
	s2.*4_\markup \harp-pedal "---|-v--"
	s2.*17
	s4. s4._\markup \concat { D \sharp }
	s2.
	s2.
	s2._\markup \column { \concat { E \flat } \concat { D \natural } }
	s4._\markup \column { \concat { F \natural } \concat { B \flat } }
	s4._\markup \concat { A \flat }
	s2.*12
	s4._\markup \concat { A \natural }
	s4._\markup \concat { F \sharp }
	s2._\markup \column { \concat { E \natural } \concat { B \natural } }
	s2.*20
}
