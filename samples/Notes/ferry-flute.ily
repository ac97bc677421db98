\version "2.24.0"
\language "nederlands"

ferryFlute = \relative c'' {
  R2.*4
  d,4\mp( g8 b4 a8
  g4 e8 d4.)
  e8( fis g) a4( c8
  b4. a)
  d4( c8 b4 a8
  b4 e,8 a4 fis8)
  g8( a b) a4( fis8
  g4.) r

  b4.\p( d)
  e4.( d)
  c4.( a8 b c)
  b4.( a4) r8
  fis'4.( g)
  g4.( e)
  d4.\<( c4 a8
  b2.)\!
  R2.*4
  r4 b8\mf( c4 d8
  e8 dis e g4.\fermata)

  ees,2.\p~
  ees4.~ ees8 r4
  R2.*2
  bes'4( ees8 d4 c8)
  d4( c8 bes4.)
  aes4( c8 bes4 aes8)
  g2.
  R2.*2
  g'8( f ees d4.)
  R2.\fermata
  c8\mf( d ees fis4 a8\fermata)
  R2.

  d,4\mp( g8 b4 a8
  g4 e8 d4.)
  e8( fis g) a4( c8
  b4. a)
  d4( c8 b4 a8
  b4 e,8 a4 fis8)
  g8( a b) a4( fis8
  g2.)
  b,4.\mf( d)
  e4( g8 c4 b8)
  a4.( e4 c8)
  d4( fis8 a4.)
  g4(\f b8 e4 d8)
  c4.( g4 e8)
  fis4( g8 a4 fis8)
  g2.\>
  r4.\! d'4.\p(
  g4.) r
  b,2.~\>
  b4.\! r\fermata
}
