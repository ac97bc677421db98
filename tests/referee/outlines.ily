%% Reports the outline of what the typesetter prints: one JSON array a line, into the file that the environment
%% variable LYFINGER_OUTLINES names, read by outlines.py. Included before the score (-dinclude-settings); asked when
%% all pages are laid out.
%%
%%   [NAME, SYSTEM, COLUMN, LINE, CHAR, BAR, X, Y, [[X, Y], …], [[X, Y], …], TEXT]
%%
%% Lengths are in staff spaces, in the frame of the system; the two lists are the lower and the upper edge of the ink,
%% counted from X, Y. COLUMN numbers the note column that a digit belongs to (-1: none). Staff and ledger lines are left
%% out: a digit that stands beside its head stands on them.
\version "2.24.0"
\include "json.ily"

#(define outlines-port (open-output-file (getenv "LYFINGER_OUTLINES")))

#(define outlines-columns '())
#(define outlines-count 0)

#(define (outlines-column grob)
  (cond ((not (ly:grob? grob)) -1)
        ((eq? (grob::name grob) 'NoteColumn)
         (let ((known (assq grob outlines-columns)))
          (if known
           (cdr known)
           (begin
            (set! outlines-columns (acons grob outlines-count outlines-columns))
            (set! outlines-count (1+ outlines-count))
            (1- outlines-count)))))
        ((memq (grob::name grob) '(Fingering FingeringColumn NoteHead)) (outlines-column (ly:grob-parent grob X)))
        (else -1)))

#(define (outlines-edge skyline)
  (list->vector
   (map (lambda (point) (vector (car point) (cdr point)))
    (filter (lambda (point) (and (finite? (car point)) (finite? (cdr point)))) (ly:skyline->points skyline X)))))

#(define outlines-array
  (let ((plain json))
   (lambda (value)
    (cond ((vector? value)
           (string-append "[" (string-join (map outlines-array (vector->list value)) ",") "]"))
          ((and (number? value) (inexact? value)) (format #f "~,4f" value))
          (else (plain value))))))

#(define (outlines-of grob number system)
  (let ((stencil (ly:grob-property grob 'stencil #f)))
   (if (and (ly:stencil? stencil) (not (ly:stencil-empty? stencil)))
    (let* ((skylines (ly:skylines-for-stencil stencil X))
           (event (event-cause grob))
           (origin (and event (ly:event-property event 'origin #f)))
           (place (if (ly:input-location? origin) (ly:input-file-line-char-column origin) (list "" 0 0 0)))
           (text (ly:grob-property grob 'text "")))
     (display
      (outlines-array
       (vector (symbol->string (grob::name grob)) number (if (eq? (grob::name grob) 'Fingering) (outlines-column grob) -1)
        (list-ref place 1) (list-ref place 2) (car (grob::rhythmic-location grob))
        (exact->inexact (ly:grob-relative-coordinate grob system X)) (exact->inexact (ly:grob-relative-coordinate grob system Y))
        (outlines-edge (car skylines)) (outlines-edge (cdr skylines))
        (if (string? text) text "")))
      outlines-port)
     (newline outlines-port)))))

#(define outlines-skipped
  '(System StaffSymbol LedgerLineSpanner SystemStartBar SystemStartBrace SystemStartBracket SpanBar SpanBarStub VerticalAlignment VerticalAxisGroup))

#(define (outlines-pages layout pages)
  (let ((number 0))
   (for-each
    (lambda (page)
     (for-each
      (lambda (line)
       (let ((system (ly:prob-property line 'system-grob #f)))
        (if (ly:grob? system)
         (begin
          (set! number (1+ number))
          (for-each
           (lambda (grob) (if (not (memq (grob::name grob) outlines-skipped)) (outlines-of grob number system)))
           (ly:grob-array->list (ly:grob-object system 'all-elements)))))))
      (ly:prob-property page 'lines)))
    pages)
   (force-output outlines-port)))

\paper { page-post-process = #outlines-pages }
