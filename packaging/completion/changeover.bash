# Completions of changeover for bash. The program itself says what fits: verbs, options, files, names of patterns and rules.
_changeover() {
    local IFS=$'\013' word="${COMP_WORDS[COMP_CWORD]}" i
    # The program gets the words without quotes.
    local words=("${COMP_WORDS[@]//[\\\"\']/}")
    words[COMP_CWORD]="${2//[\\\"\']/}"
    COMPREPLY=($(_CLAP_IFS="$IFS" _CLAP_COMPLETE_INDEX="$COMP_CWORD" CHANGEOVER_COMPLETE=bash \
        changeover -- "${words[@]}" 2>/dev/null))
    if [ "${#COMPREPLY[@]}" = 1 ] && [[ "${COMPREPLY[0]}" == */ ]]; then
        compopt -o nospace
    fi
    # Within quotes bash closes the quotes by itself; elsewhere spaces are escaped.
    case "$word" in
        \"* | \'*) ;;
        *) for i in "${!COMPREPLY[@]}"; do printf -v "COMPREPLY[i]" %q "${COMPREPLY[i]}"; done ;;
    esac
}
complete -o bashdefault -o nosort -F _changeover changeover
