%% Tells which of the words in the file LYFINGER_WORDS the lexer knows: each word that has no definition is
%% parsed alone, as \word, by a parser of its own; the lexer complains, on standard error, of those it does not
%% know. Words with a definition go to the file LYFINGER_OUT. Run by vocabulary.py.
\version "2.24.0"
#(use-modules (ice-9 rdelim))
#(let ((port (open-input-file (getenv "LYFINGER_WORDS"))) (module (current-module))
      (out (open-output-file (getenv "LYFINGER_OUT"))))
  (let next ((word (read-line port)))
   (if (not (eof-object? word))
    (begin
     (if (module-variable module (string->symbol word))
      (format out "~a\n" word)
      (catch #t
       (lambda () (ly:parser-parse-string (ly:parser-clone) (string-append "\\" word " ")))
       (lambda _ #f)))
     (next (read-line port)))
    (close-port out))))
