# Bounds the stack: the deepest chain of calls, with what each function takes (GCC's .su files, the
# return address included), and the deepest interrupt on top; interrupts don't nest.
# Input: all .su files, then `avr-objdump -d` of the program, told apart by the variable `part`.
# Functions of the compiler's own library have no .su file: each counts as LIBRARY bytes.

part == 1 {
    n = split($1, place, ":")
    own[place[n]] = $2
    next
}

/^[0-9a-f]+ <[^>]+>:$/ {
    at = $2
    gsub(/[<>:]/, "", at)
    next
}

/\t(r?call|r?jmp)\t/ && match($0, /<[^>+]+>/) {
    to = substr($0, RSTART + 1, RLENGTH - 2)
    if (to != at && !((at, to) in seen)) {
        seen[at, to] = 1
        calls[at] = calls[at] " " to
    }
}

/\ticall/ { indirect = indirect " " at }

function depth(name,    list, n, i, deepest, d) {
    if (name in known)
        return known[name]
    if (name in open) {
        print "recursion through " name > "/dev/stderr"
        failed = 1
        return 0
    }
    open[name] = 1
    n = split(calls[name], list, " ")
    for (i = 1; i <= n; i++)
        if ((d = depth(list[i])) > deepest)
            deepest = d
    delete open[name]
    return known[name] = deepest + (name in own ? own[name] : LIBRARY)
}

END {
    for (name in calls)
        if (name ~ /^__vector_/ && name in own && depth(name) > interrupt)
            interrupt = depth(name)
    main = depth("main")
    if (indirect != "") {
        print "calls through pointers in" indirect > "/dev/stderr"
        failed = 1
    }
    printf "stack at most %d bytes: main %d, an interrupt on top %d\n", main + interrupt, main, interrupt
    exit failed
}
