%% Prints the typesetter's vocabulary, one JSON value a line, into the file that the
%% environment variable LYFINGER_OUT names. Run by vocabulary.py; definitions only, no music is engraved.
\version "2.24.0"

#(define lyfinger-port (open-output-file (getenv "LYFINGER_OUT")))
#(set-port-encoding! lyfinger-port "UTF-8")

\include "json.ily"

#(define (emit . fields)
  (display (json (list->vector fields)) lyfinger-port)
  (newline lyfinger-port))

#(emit "version" (lilypond-version))
#(emit "default-language" default-language)

#(for-each
  (lambda (language)
   (for-each
    (lambda (entry)
     (let ((p (cdr entry)))
      (emit "pitch" (car language) (car entry)
       (ly:pitch-octave p) (ly:pitch-notename p) (* 2 (ly:pitch-alteration p)))))
    (cdr language)))
  language-pitch-names)


%% A predicate is called what the module calls it; several names: the shortest, then the first in order.
#(define predicate-names (make-hash-table))
#(define (note-predicates! module)
  (module-for-each
   (lambda (name variable)
    (let ((value (and (variable-bound? variable) (variable-ref variable))))
     (if (and (procedure? value) (string-suffix? "?" (symbol->string name)))
      (let ((known (hashq-ref predicate-names value)) (text (symbol->string name)))
       (if (or (not known) (< (string-length text) (string-length known))
               (and (= (string-length text) (string-length known)) (string<? text known)))
        (hashq-set! predicate-names value text))))))
   module))
#(for-each note-predicates! (module-uses (current-module)))
#(note-predicates! (current-module))

#(define (predicate-name predicate)
  (or (hashq-ref predicate-names predicate)
      (and (procedure? predicate) (procedure-name predicate)
       (symbol->string (procedure-name predicate)))
      "unknown"))

#(define (argument entry)
  (if (pair? entry)
   (vector (predicate-name (car entry)) #t)
   (vector (predicate-name entry) #f)))

%% What a function makes of a note, and of a fingering: found by calling it with sample arguments.
#(define (sample-note)
  (make-music 'NoteEvent 'duration (ly:make-duration 2) 'pitch (ly:make-pitch 0 0 0)))
#(define (sample-fingering) (make-music 'FingeringEvent 'digit 1))

#(define samples
  `(("ly:duration?" . ,(ly:make-duration 2)) ("ly:pitch?" . ,(ly:make-pitch 0 0 0))
    ("fraction?" . (3 . 2)) ("scale?" . (3 . 2)) ("number-list?" . (2 2)) ("number?" . 1) ("integer?" . 1)
    ("index?" . 1) ("real?" . 1) ("string?" . "x") ("markup?" . "x") ("symbol?" . X)
    ("boolean?" . #t) ("list?" . (1 2)) ("number-pair?" . (1 . 1)) ("number-or-pair?" . 1)
    ("key-list?" . (color)) ("key-list-or-symbol?" . color) ("symbol-list?" . (NoteHead))
    ("symbol-list-or-symbol?" . (NoteHead)) ("scheme?" . 1)
    ("procedure?" . ,identity) ("number-or-string?" . 1) ("integer-or-markup?" . 1) ("color?" . (1 0 0))
    ("string-or-music?" . "x") ("string-or-symbol?" . x) ("positive?" . 1)
    ("positive-number?" . 1) ("pair?" . ((3 8) (2 4))) ("ly:dir?" . 1) ("index-or-markup?" . 1)
    ("string-or-pair?" . "x") ("exact-rational?" . 1) ("positive-exact-rational?" . 1) ("boolean-or-symbol?" . #t)))

#(define (sample-arguments signature music)
  (map (lambda (entry)
        (let ((name (predicate-name (if (pair? entry) (car entry) entry))))
         (cond ((member name '("ly:music?" "ly:event?" "duration-or-music?" "symbol-list-or-music?" "key-list-or-music?"))
                (music))
               ((assoc name samples) => cdr)
               ((pair? entry) (cdr entry))
               (else (throw 'no-sample)))))
   signature))

#(define (kind-of-music music)
  (cond ((not (ly:music? music)) "none")
        ((and (ly:prob-property? music 'void) (eq? (ly:music-property music 'name) 'Music)) "void")
        ((music-is-of-type? music 'post-event) "post-event")
        ((eq? (ly:music-property music 'name) 'PostEvents) "post-event")
        (else "music")))

#(define (tried function music)
  (catch #t
   (lambda ()
    (kind-of-music
     (apply (ly:music-function-extract function)
      (sample-arguments (cdr (ly:music-function-signature function)) music))))
   (lambda _ "unknown")))

#(define (takes-music? signature)
  (any (lambda (entry)
        (member (predicate-name (if (pair? entry) (car entry) entry))
         '("ly:music?" "ly:event?" "duration-or-music?" "symbol-list-or-music?" "key-list-or-music?")))
   signature))

#(define (describe-function function)
  (let* ((signature (ly:music-function-signature function))
         (result (predicate-name (if (pair? (car signature)) (caar signature) (car signature))))
         (arguments (list->vector (map argument (cdr signature))))
         (kind (assoc-ref '(("ly:music?" . "music-function") ("ly:event?" . "event-function")
                            ("void?" . "void-function")) result)))
   `((kind . ,(or kind "scheme-function")) (arguments . ,arguments)
     ,@(if (equal? kind "music-function")
        (cons `(returns . ,(tried function sample-note))
         (if (takes-music? (cdr signature))
          `((of-post-event . ,(tried function sample-fingering))) '()))
        '()))))

#(define (describe-music music)
  (let ((type (ly:music-property music 'articulation-type #f)) (direction (ly:music-property music 'span-direction #f)))
  `((kind . ,(kind-of-music music))
    (class . ,(ly:music-property music 'name))
    ,@(if type `((articulation-type . ,type)) '())
    ,@(if (number? direction) `((span . ,(if (= direction START) "start" "stop"))) '()))))

#(define (describe value)
  (cond ((ly:music-function? value) (describe-function value))
        ((ly:music? value) (describe-music value))
        ((ly:duration? value)
         (let ((length (ly:moment-main (ly:duration-length value))))
          `((kind . "duration") (length . ,(number->string length)))))
        ((ly:pitch? value) '((kind . "pitch")))
        ((ly:context-mod? value) '((kind . "context-mod")))
        ((ly:context-def? value) '((kind . "context-def")))
        ((ly:output-def? value) '((kind . "output-def")))
        ((ly:score? value) '((kind . "score")))
        ((ly:book? value) '((kind . "book")))
        ((string? value) '((kind . "string")))
        ((and (number? value) (exact? value)) `((kind . "number") (value . ,(number->string value))))
        ((number? value) '((kind . "number")))
        ((and (pair? value) (markup? value)) '((kind . "markup")))
        ((and (pair? value) (markup-list? value)) '((kind . "markup-list")))
        ((symbol? value) '((kind . "symbol")))
        ((and (list? value) (every ly:pitch? value) (pair? value)) '((kind . "pitch-list")))
        (else #f)))

#(define (emit-binding own)
  (lambda (name variable)
   (if (variable-bound? variable)
    (let* ((value (variable-ref variable)) (fact (describe value)) (text (symbol->string name)))
     (cond (fact (emit "identifier" text own fact))
           ((and (procedure? value) (string-suffix? "-markup" text) (markup-command-signature value))
            (emit "markup-command" (string-drop-right text 7)
             (list->vector (map predicate-name (markup-command-signature value))) #f))
           ((and (procedure? value) (string-suffix? "-markup-list" text) (markup-command-signature value))
            (emit "markup-command" (string-drop-right text 12)
             (list->vector (map predicate-name (markup-command-signature value))) #t)))))))

%% The sample calls may define things: the bindings are listed before the first of them.
#(define (bindings module)
  (let ((found '()))
   (module-for-each (lambda (name variable) (set! found (acons name variable found))) module)
   (sort found (lambda (a b) (string<? (symbol->string (car a)) (symbol->string (car b)))))))
#(define own-at-start
  (let ((mine '(lyfinger-port json-string json emit predicate-names note-predicates! predicate-name argument
                sample-note sample-fingering samples sample-arguments kind-of-music tried takes-music?
                describe-function describe-music describe emit-binding bindings)))
   (filter (lambda (binding) (not (memq (car binding) mine))) (bindings (current-module)))))
#(for-each (lambda (b) ((emit-binding #f) (car b) (cdr b))) (bindings (resolve-interface '(lily))))
#(for-each (lambda (b) ((emit-binding #t) (car b) (cdr b))) own-at-start)
#(emit "end" #t)
#(close-port lyfinger-port)
