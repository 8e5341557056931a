# Completions of changeover for fish. The program itself says what fits: verbs, options, files, names of patterns and rules.
function __changeover_fits
    set -l words (commandline --current-process --tokenize --cut-at-cursor)
    # The program gets the word without quotes; those that are still open are closed for it.
    set -l typed (commandline --current-token --cut-at-cursor)
    set -l word $typed
    for quote in '' \' '"'
        if set -l plain (string unescape -- "$typed$quote")
            set word "$plain"
            break
        end
    end
    CHANGEOVER_COMPLETE=fish changeover -- $words "$word" 2>/dev/null
end
complete --keep-order --exclusive --command changeover --arguments '(__changeover_fits)'
