%% Reports what the typesetter prints: one JSON array a line, into the file that the environment variable
%% LYFINGER_OUT names, read by events.py. Included before the score (-dinclude-settings), it puts one engraver
%% into every score context; an engraver is only there where a score has a printed layout.
%%
%%   ["score", SCORE]                                a printed score begins
%%   ["note", SCORE, NUMBER, FILE, LINE, CHAR, COLUMN, MAIN, GRACE, LENGTH, OCTAVE, STEP, SEMITONES,
%%    STAFF-TYPE, STAFF-ID, STAFF-NUMBER, VOICE-TYPE, VOICE-ID, VOICE-NUMBER, BAR, POSITION, BEAT-UNIT, TIED]
%%   ["finger", SCORE, FILE, LINE, CHAR, COLUMN, MAIN, GRACE, DIGIT, TEXT, DIRECTION, NOTE-NUMBER, VOICE-NUMBER]
%%   ["end", SCORE]                                  the score was engraved to its end
\version "2.24.0"
\include "json.ily"

#(define lyfinger-port (open-output-file (getenv "LYFINGER_OUT")))
#(set-port-encoding! lyfinger-port "UTF-8")
#(define lyfinger-scores 0)

#(define (lyfinger-emit . fields)
  (display (json (list->vector fields)) lyfinger-port)
  (newline lyfinger-port)
  (force-output lyfinger-port))

#(define (lyfinger-origin event)
  (let ((origin (ly:event-property event 'origin #f)))
   (if (ly:input-location? origin)
    (ly:input-file-line-char-column origin)
    (list "" 0 0 0))))

#(define (lyfinger-staff context)
  (or (ly:context-find context 'Staff) context))

#(define (lyfinger-text event)
  (let ((text (ly:event-property event 'text #f)))
   (and text (if (string? text) text (markup->string text)))))

%% Numbers for contexts: equal number, equal context.
#(define (lyfinger-numbering)
  (let ((known '()))
   (lambda (context)
    (let ((entry (assq context known)))
     (if entry
      (cdr entry)
      (let ((number (length known)))
       (set! known (acons context number known))
       number))))))

#(define (lyfinger-engraver score-context)
  (let ((score (begin (set! lyfinger-scores (1+ lyfinger-scores)) (1- lyfinger-scores)))
        (staff-number (lyfinger-numbering)) (voice-number (lyfinger-numbering)) (new-heads '()) (new-fingers '()) (heads '()) (ties '()) (fingers '()) (count 0))
   (define (event-of grob class)
    (let ((event (ly:grob-property grob 'cause #f)))
     (and (ly:stream-event? event) (ly:in-event-class? event class) event)))

   ;; Where a head stands in time is asked at the end of its time step: bar and position are settled by then.
   (define (settled-head entry)
    (let* ((grob (car entry)) (event (cadr entry)) (context (caddr entry)) (staff (lyfinger-staff context))
           (now (ly:context-current-moment context)) (pitch (ly:event-property event 'pitch #f))
           (length (ly:event-property event 'length #f))
           (time (ly:context-property context 'timeSignatureFraction '(4 . 4)))
           (place (ly:context-property context 'measurePosition #f)))
     (set! count (1+ count))
     (list grob (1- count) (voice-number context) now
      `(,@(lyfinger-origin event) ,(ly:moment-main now) ,(ly:moment-grace now)
        ,(if (ly:moment? length) (ly:moment-main length) 0)
        ,@(if (ly:pitch? pitch)
           (list (+ 4 (ly:pitch-octave pitch)) (ly:pitch-notename pitch) (* 2 (ly:pitch-alteration pitch)))
           '(#f #f #f))
        ,(ly:context-name staff) ,(ly:context-id staff) ,(staff-number staff)
        ,(ly:context-name context) ,(ly:context-id context) ,(voice-number context)
        ,(ly:context-property context 'currentBarNumber #f)
        ,(if (ly:moment? place) (ly:moment-main place) #f)
        ,(if (pair? time) (/ 1 (cdr time)) #f)))))

   (define (settled-finger entry)
    (let* ((grob (car entry)) (event (cadr entry)) (context (caddr entry)) (now (ly:context-current-moment context)))
     (list grob (voice-number context) now
      `(,@(lyfinger-origin event) ,(ly:moment-main now) ,(ly:moment-grace now)
        ,(ly:event-property event 'digit #f) ,(lyfinger-text event)
        ,(let ((direction (ly:event-property event 'direction #f))) (if (number? direction) direction #f))))))

   ;; Inside a chord a digit's parent is its head; outside, it is the one head of its voice at its moment.
   (define (head-of finger)
    (let* ((grob (car finger)) (parent (ly:grob-parent grob X)) (own (and (ly:grob? parent) (assq parent heads))))
     (if own
      (cadr own)
      (let ((near (filter (lambda (head) (and (= (caddr head) (cadr finger)) (equal? (cadddr head) (caddr finger))))
                   heads)))
       (if (= 1 (length near)) (cadr (car near)) #f)))))

   ;; A tie leads to its right bound; the half tie of \repeatTie to the head that it stands before.
   (define (tied-heads)
    (filter ly:grob?
     (map (lambda (tie)
           (cond ((ly:spanner? tie) (ly:spanner-bound tie RIGHT))
                 ((eq? (grob::name tie) 'RepeatTie) (ly:grob-object tie 'note-head #f))
                 (else #f)))
      ties)))

   (make-engraver
    ((initialize engraver)
       (lyfinger-emit "score" score))
    (acknowledgers
     ((note-head-interface engraver grob source)
      (let ((event (event-of grob 'note-event)))
       (if (and event (not (eq? (grob::name grob) 'AmbitusNoteHead)))
        (set! new-heads (cons (list grob event (ly:translator-context source)) new-heads)))))
     ((finger-interface engraver grob source)
      (let ((event (event-of grob 'fingering-event)))
       (if event (set! new-fingers (cons (list grob event (ly:translator-context source)) new-fingers)))))
     ((tie-interface engraver grob source) (set! ties (cons grob ties)))
     ((semi-tie-interface engraver grob source) (set! ties (cons grob ties))))
    ((stop-translation-timestep engraver)
     (set! heads (append-reverse (map-in-order settled-head (reverse new-heads)) heads))
     (set! fingers (append-reverse (map-in-order settled-finger (reverse new-fingers)) fingers))
     (set! new-heads '())
     (set! new-fingers '()))
    ((finalize engraver)
     (let ((tied (tied-heads)))
      (for-each
       (lambda (head)
        (apply lyfinger-emit "note" score (cadr head)
         (append (car (cddddr head)) (list (and (memq (car head) tied) #t)))))
       (reverse heads))
      (for-each
       (lambda (finger)
        (apply lyfinger-emit "finger" score (append (cadddr finger) (list (head-of finger) (cadr finger)))))
       (reverse fingers))
      (lyfinger-emit "end" score))))))

\layout {
  \context { \Score \consists #lyfinger-engraver }
  \context { \StandaloneRhythmScore \consists #lyfinger-engraver }
  \context { \ChordGridScore \consists #lyfinger-engraver }
  \context { \VaticanaScore \consists #lyfinger-engraver }
}

%% A book is only interpreted, score by score: nothing is laid out.
#(define (lyfinger-layouts score)
  (filter (lambda (def) (eq? 'layout (ly:output-def-lookup def 'output-def-kind #f))) (ly:score-output-defs score)))

%% What a layout takes from its paper when a book is printed; some engravers ask for it.
#(define (lyfinger-on-paper! layout)
  (for-each
   (lambda (pair)
    (if (and (or (number? (cdr pair)) (eq? 'property-defaults (car pair)))
             (not (ly:output-def-lookup layout (car pair) #f)))
     (ly:output-def-set-variable! layout (car pair) (cdr pair))))
   (ly:module->alist (ly:output-def-scope (ly:parser-lookup '$defaultpaper))))
  layout)

#(define (lyfinger-interpret score)
  (let ((layouts (if (null? (ly:score-output-defs score))
                  (list (ly:parser-lookup '$defaultlayout))
                  (lyfinger-layouts score))))
   (for-each (lambda (layout) (ly:run-translator (ly:score-music score) (lyfinger-on-paper! layout))) layouts)))

#(define (lyfinger-book book)
  (for-each lyfinger-book (reverse (ly:book-book-parts book)))
  (for-each (lambda (element) (if (and (ly:score? element) (not (ly:score-error? element))) (lyfinger-interpret element)))
   (reverse (ly:book-scores book))))

#(define default-toplevel-book-handler lyfinger-book)
#(define toplevel-book-handler lyfinger-book)
