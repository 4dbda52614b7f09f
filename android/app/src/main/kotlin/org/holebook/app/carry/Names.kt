package org.holebook.app.carry

/** Names of files that came from elsewhere. They are shown to people and lie on disk, so nothing else may hide in them. */
object Names {
    private const val LONGEST = 80

    /** A name without anything that means something to a file system; [instead] where nothing is left. */
    fun clean(name: String, instead: String): String {
        val plain = name.map { if (it.isLetterOrDigit() || it in " ._-()") it else '_' }.joinToString("")
        return plain.trim(' ', '.').takeLast(LONGEST).trim(' ', '.').ifEmpty { instead }
    }

    /** The name itself for 1, then `name (2).jpg` and so on. */
    fun numbered(name: String, number: Int): String {
        if (number == 1) return name
        val dot = name.lastIndexOf('.').takeIf { it > 0 } ?: name.length
        return "${name.substring(0, dot)} ($number)${name.substring(dot)}"
    }
}
