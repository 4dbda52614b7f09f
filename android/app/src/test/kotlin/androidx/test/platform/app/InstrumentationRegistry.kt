package androidx.test.platform.app

import android.app.Instrumentation
import android.os.Bundle

/** Holds the instrumentation of the test run. */
object InstrumentationRegistry {
    private var instrumentation: Instrumentation? = null
    private var arguments = Bundle()

    @JvmStatic
    fun registerInstance(instrumentation: Instrumentation?, arguments: Bundle?) {
        this.instrumentation = instrumentation
        this.arguments = arguments ?: Bundle()
    }

    @JvmStatic
    fun getInstrumentation(): Instrumentation =
        checkNotNull(instrumentation) { "no instrumentation is registered" }

    @JvmStatic
    fun getArguments(): Bundle = arguments
}
