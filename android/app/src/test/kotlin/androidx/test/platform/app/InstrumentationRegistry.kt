package androidx.test.platform.app

import android.app.Instrumentation
import android.os.Bundle

/** Holds the instrumentation of the run. */
object InstrumentationRegistry {
    private var held: Instrumentation? = null
    private var words = Bundle()

    @JvmStatic
    fun registerInstance(instrumentation: Instrumentation?, arguments: Bundle?) {
        held = instrumentation
        words = arguments ?: Bundle()
    }

    @JvmStatic
    fun getInstrumentation(): Instrumentation = checkNotNull(held) { "no instrumentation runs" }

    @JvmStatic
    fun getArguments(): Bundle = words
}
