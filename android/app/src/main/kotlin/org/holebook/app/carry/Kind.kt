package org.holebook.app.carry

/** What comes in from other apps. [word] is what a sentence calls it, [most] how many bytes one may have. */
enum class Kind(val word: String, val most: Long) {
    /** A picture of a face. As many bytes as the shop computer's carrier allows for one form. */
    PHOTO("photo", 250L * 1024 * 1024),

    /** A shelf as one zip file. Larger ones do not come by mail or message, and do not lie on most sticks either. */
    BUNDLE("bundle", 4L * 1024 * 1024 * 1024 - 1);

    /** [most] in a sentence. */
    val limit: String get() = if (this == PHOTO) "250 MB" else "4 GB"

    companion object {
        /** What a file is by the media type that another app gives for it, or else by its name; `null` where it is neither. */
        fun of(type: String?, name: String): Kind? {
            val said = type.orEmpty().lowercase().substringBefore(';').trim()
            return when {
                said.startsWith("image/") -> PHOTO
                said in ZIP || name.endsWith(".zip", ignoreCase = true) -> BUNDLE
                else -> null
            }
        }

        /** What apps call a zip file; the first is the registered one (IANA, media types). */
        val ZIP = listOf("application/zip", "application/x-zip-compressed", "application/x-zip")
    }
}
