\version "2.24.0"

% Keys, metre and tempo of "The Ferry at Daybreak", shared by every part and the score.

ferryFrame = {
  \key g \major
  \time 6/8
  \tempo "Barcarolle" 4. = 50
  s2.*4
  \mark \default
  s2.*8
  \mark \default
  s2.*8
  s2.*6 \bar "||"
  \key ees \major
  \mark \default
  \tempo "Più tranquillo"
  s2.*13 \bar "||"
  \key g \major
  s2.
  \mark \default
  \tempo "Come prima" 4. = 50
  s2.*8
  \mark \default
  s2.*10
  \tempo "poco rit."
  s2.*2 \bar "|."
}
