#compdef changeover
# Completions of changeover for zsh. The program itself says what fits: verbs, options, files, names of patterns and rules.
_changeover() {
    # The program gets the words without quotes.
    local -a asked=("${(@Q)words}") found dirs other
    asked[CURRENT]="${(Q)PREFIX}"
    found=("${(@f)$(_CLAP_IFS=$'\n' _CLAP_COMPLETE_INDEX=$((CURRENT - 1)) CHANGEOVER_COMPLETE=zsh \
        changeover -- "${asked[@]}" 2>/dev/null)}")
    [[ -n "$found" ]] || return 1
    local one
    for one in "${found[@]}"; do
        if [[ "$one" == */ ]]; then dirs+=("${one%/}"); else other+=("$one"); fi
    done
    # As the program does, zsh ignores the case of names.
    local -a case=(-M 'm:{[:lower:][:upper:]}={[:upper:][:lower:]}')
    local result=1
    (( ! $#dirs )) || { _describe -V 'folders' dirs "${case[@]}" -S / -q && result=0 }
    (( ! $#other )) || { _describe -V 'values' other "${case[@]}" && result=0 }
    return result
}
# Zsh reads this file as the function at the first tab key; a user may also source it.
if [[ "$funcstack[1]" == _changeover ]]; then _changeover "$@"; else compdef _changeover changeover; fi
