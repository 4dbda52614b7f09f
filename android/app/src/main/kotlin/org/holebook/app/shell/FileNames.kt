package org.holebook.app.shell

/** Names of files from other apps. They are shown to people and used on disk. */
object FileNames {
    private const val MAX_CHARS = 80

    /** Replaces what has a meaning to a file system; returns [fallback] if nothing is left. */
    fun sanitize(name: String, fallback: String): String {
        val safe = name.map { if (it.isLetterOrDigit() || it in " ._-()") it else '_' }
        return safe.joinToString("").trim(' ', '.').takeLast(MAX_CHARS).trim(' ', '.')
            .ifEmpty { fallback }
    }

    /** The name itself for 1, then `name (2).jpg` and so on. */
    fun numbered(name: String, number: Int): String {
        if (number == 1) return name
        val dot = name.lastIndexOf('.').takeIf { it > 0 } ?: name.length
        return "${name.substring(0, dot)} ($number)${name.substring(dot)}"
    }
}
