%% JSON from Scheme: #(…) is an array, ((key . value) …) an object.
#(define (json-string text)
  (string-append "\""
   (string-concatenate
    (map (lambda (c)
          (cond ((memv c '(#\" #\\)) (string #\\ c))
                ((char<? c #\space) " ")
                (else (string c))))
     (string->list text)))
   "\""))

#(define (json value)
  (cond ((string? value) (json-string value))
        ((symbol? value) (json-string (symbol->string value)))
        ((boolean? value) (if value "true" "false"))
        ((and (number? value) (integer? value) (exact? value)) (number->string value))
        ((number? value) (json-string (number->string value)))
        ((vector? value)
         (string-append "[" (string-join (map json (vector->list value)) ",") "]"))
        ((list? value)
         (string-append "{"
          (string-join
           (map (lambda (p) (string-append (json (car p)) ":" (json (cdr p)))) value) ",") "}"))
        (else (json-string (format #f "~a" value)))))
